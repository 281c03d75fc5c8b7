"""The front-end drawing of a page: its frames, and what each mark says."""

from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.pictures import figure, front_end
from fleet.pictures.figure import Corner
from fleet.pictures.front_end import Drawing, Framed, Spot
from fleet.reads.front_end import changed_words, drawing_of
from fleet.reads.joints import JointRow
from fleet.records.models import Joint, Vehicle
from fleet.web.templatetags.figures import age, day
from fleet.web.templatetags.marks import mark_words

PARTS = {
    "right_wheel": gettext_lazy("Right wheel"),
    "right_axle": gettext_lazy("Axle and frame, right"),
    "left_axle": gettext_lazy("Axle and frame, left"),
    "left_wheel": gettext_lazy("Left wheel"),
}
Address = Callable[[Joint], str]


@dataclass(frozen=True)
class Part:
    code: str
    name: str
    svg: SafeString


@dataclass(frozen=True)
class FrontEnd:
    """One drawing as a template shows it; what is not asked for is not made."""

    drawing: Drawing
    spots: Sequence[Spot]
    mirrored: bool
    # What was changed on it since it was made, and is drawn so; empty where nothing was.
    changed: str = ""

    @cached_property
    def store(self) -> SafeString:
        return _safe(figure.store(self.drawing, self.mirrored))

    @cached_property
    def whole(self) -> SafeString:
        return _safe(figure.frame(self._framed, _("Joints"), self._corners()))

    @cached_property
    def small(self) -> SafeString:
        """The whole picture for beside a text, without ways to its enlargements."""
        framed = front_end.small(self.drawing, self.spots, self.mirrored)
        return _safe(figure.frame(framed, _("Joints")))

    @cached_property
    def _framed(self) -> Framed:
        return front_end.whole(self.drawing, self.spots, self.mirrored)

    @cached_property
    def parts(self) -> list[Part]:
        found = front_end.parts(self.drawing, self.spots, self.mirrored)
        return [
            Part(each.code, str(PARTS[each.code]), _safe(figure.frame(each, str(PARTS[each.code]))))
            for each in found
        ]

    def _corners(self) -> list[Corner]:
        left, _top, width, _height = self._framed.view_box
        end = front_end.WHEEL_END
        across = [front_end.seen_at((x, 0, 0), self.mirrored)[0] for x in (-end, 0, end)]
        edges = [left, *across, left + width]
        codes = {part.code for part in self.parts}
        return [
            Corner(a, b, str(name), f"#front-{code}")
            for a, b, (code, name) in zip(edges, edges[1:], PARTS.items(), strict=False)
            if code in codes
        ]


def front_end_of(
    vehicle: Vehicle,
    rows: Iterable[JointRow],
    now: datetime,
    address: Address,
    *,
    only: Collection[int] | None = None,
) -> FrontEnd:
    """A vehicle's joints with their marks, in the order of the rows.

    `address` says what opens at a tap; an empty one makes a mark that opens nothing. With `only`
    the joints of other ids are dots without a mark.
    """
    fitted = [row for row in rows if row.joint.fitted != Joint.Fitted.NOT_FITTED]
    spots = [_spot(row, now, address, only is None or row.joint.pk in only) for row in fitted]
    drawn = drawing_of(vehicle, [row.joint for row in fitted])
    return FrontEnd(drawn, spots, vehicle.steering_side == "right", changed_words(vehicle))


def _spot(row: JointRow, now: datetime, address: Address, marked: bool) -> Spot:
    joint = row.joint
    if not marked:
        return Spot(joint.kind.code, joint.side, "", marked=False)
    label = said(row, now)
    return Spot(joint.kind.code, joint.side, label, row.mark, row.share, address(joint))


def said(row: JointRow, now: datetime) -> str:
    """State, age and next recheck: what stands below the drawing while a mark is pointed at."""
    words = [f"{row.joint.name}: {row.word or mark_words(row.mark, row.share)}."]
    if row.state is not None and row.state.last_look_at is not None:
        words.append(_("Looked at %(age)s ago.") % {"age": age(row.state.last_look_at, now)})
    if row.due_on is not None:
        words.append(_("Next recheck %(day)s.") % {"day": day(row.due_on)})
    return " ".join(words)


def _safe(svg: str) -> SafeString:
    return mark_safe(svg)  # noqa: S308 - written by fleet/pictures, which escapes what it is given
