"""Joints apart, not fitted, fitted again: what the tests of them say in short."""

from typing import Any

from fleet.operations.fittings import Fitting, set_fitting
from fleet.records.models import Hold, JointFitting, Ticket
from tests.operations.conftest import SET_TOE, TRACK_BAR, House
from tests.operations.tables import refusal

FRAME, AXLE, DAMPER = "track_bar_frame_end", "track_bar_axle_end", "damper_frame_end"
CLAMPS = "drag_link_clamps"


def make(house: House, to: str, kind: str = FRAME, by: Any = None, **more: Any) -> JointFitting:
    new = Fitting(house.joint(kind).pk, to, **{"reason": "bushing on order", **more})
    return set_fitting(by or house.technician, new, at=house.now).row


def refused(house: House, to: str, kind: str = FRAME, **more: Any) -> set[str]:
    return {code for code, _field in refusal(lambda: make(house, to, kind, **more))}


def taken_apart(house: House) -> Ticket:
    """The track bar's frame end, three hours ago, with the line that will put it together."""
    ticket = house.ticket(("replace_track_bar", FRAME))
    make(house, "apart")
    house.later(hours=3)
    return ticket


def put_together(house: House, ticket: Ticket, **changed: Any) -> None:
    house.record(house.line(ticket, "replace_track_bar"), {**TRACK_BAR, **changed})
    house.record(house.line(ticket, "set_toe"), SET_TOE)


def open_holds() -> list[tuple[str, str]]:
    return list(Hold.objects.filter(lifted_at=None).values_list("reason", "text"))
