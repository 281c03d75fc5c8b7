"""The drawing of a front end on paper: the place where it comes in."""

from dataclasses import dataclass

from fleet.records.models import Vehicle


@dataclass(frozen=True)
class Drawing:
    """A plain SVG, ink on paper, and what it shows in words."""

    svg: str
    alt: str


def drawing_of(vehicle: Vehicle) -> Drawing | None:
    """The drawing of this vehicle's layout; None where there is none: its section is absent."""
    return None
