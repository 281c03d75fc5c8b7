"""What tables of cases need: an operation undone after each row, refusals, and counts of rows."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.apps import apps
from django.db import transaction

from fleet.operations import vehicles
from fleet.operations.errors import Refused
from fleet.records.models import Design, Layout, Ticket, Vehicle
from tests.operations.conftest import RETORQUE, START, House


@contextmanager
def undone() -> Iterator[None]:
    """What happens inside is rolled back, so that the next case starts from the same fleet."""
    block = transaction.atomic()
    # As a test case marks its own: an operation's durable transaction may stand inside.
    block._from_testcase = True  # type: ignore[attr-defined]
    with block:
        yield
        transaction.set_rollback(True)


def refusal(
    call: Callable[..., Any], *given: Any, raising: type[Refused] = Refused, **named: Any
) -> set[tuple[str, str]]:
    """The codes and fields of the refusal that the call meets; each has words for a person."""
    with pytest.raises(raising) as caught:
        call(*given, **named)
    assert all(str(problem.message).strip() for problem in caught.value.problems)
    return {(problem.code, problem.field) for problem in caught.value.problems}


def row_counts() -> dict[str, int]:
    """How many rows stand in each table of the records."""
    models = apps.get_app_config("records").get_models()
    return {model.__name__: model._default_manager.count() for model in models}


def heavy_truck(house: House, meter: str = "") -> Vehicle:
    """Leaf springs with a track bar, kingpins, adjustable hubs, and an hour meter."""
    layouts = {layout.code: layout for layout in Layout.objects.all()}
    design = Design.objects.create(
        name="Ridgeline 1-ton leaf", make="Ridgeline", axle=layouts["leaf_track_bar"],
        linkage=layouts["full_tie_rod"], knuckle=layouts["kingpin"],
        hub=layouts["adjustable_hub"], toe_low_m=0.0, toe_high_m=0.0032,
    )  # fmt: skip
    new = vehicles.NewVehicle("H-201", design.pk, house.yard.pk, "off_road", "h", meter)
    return vehicles.add_vehicle(house.manager, new, at=START).row


def worked(house: House, action: str = "retorque", joint: str = "track_bar_frame_end") -> Ticket:
    """A ticket whose one line is complete."""
    ticket = house.ticket((action, joint))
    data = {"retorque": RETORQUE, "clean_protect": {"what": "washed"}}[action]
    house.record(house.line(ticket, action), data)
    return ticket


def state_of(ticket: Ticket) -> str:
    return Ticket.objects.get(pk=ticket.pk).state
