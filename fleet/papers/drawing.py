"""The drawing of a front end on paper, black on white, with the marks of its joints."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from fleet.pictures import figure, front_end
from fleet.pictures.front_end import Spot
from fleet.reads import front_end as drawn
from fleet.records.models import Joint, Vehicle


@dataclass(frozen=True)
class Drawing:
    """A plain SVG, ink on paper, and what it shows in words."""

    svg: str
    alt: str


def drawing_of(vehicle: Vehicle, marked: Iterable[tuple[Joint, str]]) -> Drawing:
    """The front end of this vehicle with each joint that is fitted, marked as given."""
    fitted = list(marked)
    layout = drawn.drawing_of(vehicle, [joint for joint, _mark in fitted])
    spots = [Spot(joint.kind.code, joint.side, joint.name, mark) for joint, mark in fitted]
    mirrored = vehicle.steering_side == "right"
    framed = front_end.whole(layout, spots, mirrored)
    alt = _("The front end of %(unit)s from ahead and above, with the mark of each joint.") % {
        "unit": vehicle.unit_number
    }
    if changed := drawn.changed_words(vehicle):
        alt = f"{alt} {changed}"
    return Drawing(figure.plain(layout, framed, alt, mirrored), alt)
