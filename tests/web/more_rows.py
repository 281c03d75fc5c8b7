"""What else there is so many of on the one vehicle that has it all."""

from collections.abc import Callable
from typing import Any

from fleet.records.base import new_uid
from fleet.records.models import (
    Delivery,
    Event,
    Feed,
    FileAnswer,
    FileRequest,
    Inspection,
    IntervalProposal,
    Joint,
    JointFitting,
    Person,
    Photo,
    ReadOver,
    Rule,
    RuleException,
    Tablet,
    TabletKey,
    TabletOperation,
    Ticket,
    ToolUse,
    TorqueReading,
    TorqueTool,
    Vehicle,
    Webhook,
)
from tests import camera, swept
from tests.build import NOW

Fact = Callable[[int], dict[str, Any]]


def the_rest(vehicle: Vehicle, joint: Joint, size: int, fact: Fact) -> None:
    files_and_fittings(vehicle, joint, size, fact)
    intervals(joint, size, size)
    tablets(joint, size, fact(0)["by"])
    photos(vehicle, joint, size, fact)
    rules_and_exceptions(vehicle, size, fact(0)["by"])
    going_out(vehicle, size, fact(0)["by"])
    sweeps(vehicle, size, fact(0)["by"])
    tool_uses(size, fact)


def tool_uses(size: int, fact: Fact) -> None:
    """Of the first wrench, on other work."""
    tool = TorqueTool.objects.earliest("pk")
    rows = (ToolUse(tool=tool, uses=n + 1, reason="trailers", **fact(n)) for n in range(size))
    ToolUse.objects.bulk_create(rows)


def rules_and_exceptions(vehicle: Vehicle, size: int, by: Person) -> None:
    """Versions of one rule, the newest in force; exceptions that ended, one that stands."""
    old = Rule.objects.get(kind="ladder", key="track_bar")
    Rule.objects.filter(pk=old.pk).update(is_current=False)
    Rule.objects.bulk_create(
        Rule(kind="ladder", key="track_bar", version=number + 2, data=old.data, since=NOW,
             set_by=by, reason="again", is_current=number == size - 1)
        for number in range(size)
    )  # fmt: skip
    RuleException.objects.bulk_create(
        RuleException(vehicle=vehicle, ladder="routine", reason="stands by", set_by=by, since=NOW,
                      rungs=[{"miles": 5000, "days": 150, "hours": 160}], ends_on=NOW.date(),
                      ended_at=NOW if number < size - 1 else None)
        for number in range(size)
    )  # fmt: skip


def sweeps(vehicle: Vehicle, size: int, by: Person) -> None:
    """The newest over as many of its joints as there are."""
    torque = TorqueReading.objects.filter(joint__vehicle=vehicle)[0]
    swept.many(list(vehicle.joints.select_related("vehicle")), by, torque, size)


def files_and_fittings(vehicle: Vehicle, joint: Joint, size: int, fact: Fact) -> None:
    """Files asked for and half of them answered, the newest open; a joint apart again and again."""
    asked = FileRequest.objects.bulk_create(
        FileRequest(vehicle=vehicle, why="audit", wanted_by=NOW.date(), **fact(number))
        for number in reversed(range(2 * size))
    )
    FileAnswer.objects.bulk_create(
        FileAnswer(request=row, kind="answered", text="printed", **fact(number))
        for number, row in enumerate(asked[:size])
    )
    states = ("apart", "fitted")
    JointFitting.objects.bulk_create(
        JointFitting(joint=joint, fitted=states[number % 2], reason="bearing", **fact(number))
        for number in range(size)
    )


def intervals(joint: Joint, size: int, earlier: int) -> None:
    """One offer, as the newest; the others say what is missing. What was decided before it."""
    axle = joint.vehicle.design.axle
    same: dict[str, Any] = {
        "kind": joint.kind, "axle": axle, "duty": "gravel", "practice": "factory",
        "first": False, "meter": "distance", "spells": 60, "longest_tight_si": 3_000_000,
        "now_si": 804_672, "now_from": {"ladder": "track_bar", "rung": 1, "version": 1},
        "age_si": 160_934, "target": 0.9, "confidence": 0.9, "made_at": NOW, "as_of": NOW,
    }  # fmt: skip
    curve = [[0, 1, 1, 1], [1_000_000, 0.97, 0.93, 0.99], [3_000_000, 0.9, 0.8, 0.95]]
    key = f"{joint.kind.code}|{axle.code}|gravel|factory|again|distance"
    told = {"since": curve, "on": curve, "steps": [[0, 1], [900_000, 0.95]]}
    offer: dict[str, Any] = {
        **same, "finds": 20, "vehicles": 9, "allowed_si": 1_400_000, "limited_by": "profile",
        "offered_si": 1_207_008, "held_back_by": "half", "shape": 1.4, "scale_si": 6_000_000.0,
        "curve": told,
    }  # fmt: skip
    IntervalProposal.objects.bulk_create([
        *(IntervalProposal(key=f"other|{n}|gravel||first|distance", finds=3, vehicles=2,
                           missing="too_few_finds", have=3, need=5,
                           curve={"steps": told["steps"]}, **same) for n in range(size)),
        *(IntervalProposal(key=key, is_current=False, state="declined", reason="not yet",
                           decided_at=NOW, **offer) for _ in range(earlier)),
        IntervalProposal(key=key, **offer),
    ])  # fmt: skip


def photos(vehicle: Vehicle, joint: Joint, size: int, fact: Fact) -> None:
    """Of the joint, of its ticket, and of every sheet and finding."""
    data = camera.jpeg()
    columns = camera.columns(data)
    ticket = Ticket.objects.filter(vehicle=vehicle).order_by("-pk")[0]
    sheets = Inspection.objects.filter(vehicle=vehicle).order_by("pk").values_list("uid", flat=True)
    newest = Inspection.objects.filter(vehicle=vehicle).order_by("-pk")[0].uid
    Photo.objects.bulk_create(
        Photo(vehicle=vehicle, joint=joint, ticket=ticket, about=about, **columns, **fact(number))
        for number in range(size)
        for about in (newest, sheets[number % len(sheets)])
    )


def tablets(joint: Joint, size: int, by: Person) -> None:
    """As many tablets; on the newest as many people sign and as many operations wait."""
    yard = joint.vehicle.yard
    made = Tablet.objects.bulk_create(
        Tablet(name=f"Bay {number}", yard=yard, enrolled_by=by, heard_at=NOW)
        for number in range(size)
    )
    crew = Person.objects.filter(postings__yard=yard).order_by("pk")
    keys = TabletKey.objects.bulk_create(
        TabletKey(tablet=made[-1], person=who, secret=b"k", handed_at=NOW) for who in crew
    )
    _read_over(joint.vehicle, made[-1], by, keys[0].person)
    TabletOperation.objects.bulk_create(
        TabletOperation(
            uid=new_uid(), tablet=made[-1], n=number + 1, person=keys[0].person, key=keys[0],
            verb="place_hold", body=f'{{"text": "loose {number}", "joint": {joint.pk}}}',
            made_at=NOW, occurred_at=NOW, received_at=NOW, state="quarantined",
        )
        for number in range(size)
    )  # fmt: skip


def _read_over(vehicle: Vehicle, tablet: Tablet, worker: Person, checker: Person) -> None:
    """Of the ticket under way, lapsed since, so that the vehicle is held as it was."""
    ticket = Ticket.objects.filter(vehicle=vehicle).exclude(state__in=("closed", "cancelled"))[0]
    ReadOver.objects.create(
        vehicle=vehicle, ticket=ticket, tablet=tablet, worker=worker, checker=checker, by=worker,
        code="8143079743", reply="547391", until=NOW, occurred_at=NOW,
    )  # fmt: skip


def going_out(vehicle: Vehicle, size: int, by: Person) -> None:
    """As many calendar feeds of one person, and programs told of as many events."""
    hooks = Webhook.objects.bulk_create(
        Webhook(
            name=f"Desk {number}",
            address="https://desk.example/",
            yard=vehicle.yard,
            secret=b"s",
            made_by=by,
            made_at=NOW,
        )
        for number in range(size)
    )
    told = Event.objects.bulk_create(
        Event(kind="vehicle.held", at=NOW, yard=vehicle.yard, body="{}") for _ in range(size)
    )
    Delivery.objects.bulk_create(
        Delivery(webhook=hooks[-1], event=event, next_at=NOW, state="dead") for event in told
    )
    Feed.objects.bulk_create(
        Feed(owner=by, of="yard", yard=vehicle.yard, token_hash=f"{number:064d}", made_at=NOW,
             fetched_at=NOW)
        for number in range(size)
    )  # fmt: skip
