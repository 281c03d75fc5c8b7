"""What stands before the first vehicle: yards, people, designs with their figures, wrenches."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.records.models import (
    Design,
    JointKind,
    Layout,
    LayoutJoint,
    Person,
    Posting,
    Role,
    TorqueSpec,
    TorqueTool,
    Yard,
)

YARDS = {
    "Alder": "America/Denver", "Cold Spring": "America/Chicago", "Mesa Tank": "America/Phoenix",
    "Juniper": "America/Denver", "Dry Fork": "America/Los_Angeles", "North Gate": "UTC",
}  # fmt: skip
AXES = {
    "four-link": ("four_link_coil", "crossing", "ball_joint", "unit_hub"),
    "radius-arm": ("radius_arm_coil", "full_tie_rod", "ball_joint", "unit_hub"),
    "leaf": ("leaf_track_bar", "fore_aft", "kingpin", "adjustable_hub"),
}
WORKERS_A_YARD = 4
TOOLS_A_YARD = 6


@dataclass(frozen=True)
class Place:
    """Where a joint goes, with what its history needs to know of its kind."""

    pk: int
    kind_id: int
    code: str
    name: str
    side: str
    order: int
    holds: bool
    wrench: bool
    method: str
    spec_id: int | None


@dataclass(frozen=True)
class Ground:
    yards: list[Yard]
    manager: Person
    # By yard: those who do the work, and their wrenches.
    workers: dict[int, list[int]]
    tools: dict[int, list[int]]
    designs: list[int]
    places: dict[int, list[Place]]


def lay_ground(now: datetime) -> Ground:
    load_reference(server_actor("command"), at=now)
    manager = Person.objects.create_user(
        "manager", name="Manager", role=Role.MANAGER, all_yards=True
    )
    yards = [
        Yard.objects.create(
            name=name, slug=name.lower().replace(" ", "-"), time_zone=zone,
            on_call_number="555-0100", working_days=[0, 1, 2, 3, 4],
        )
        for name, zone in YARDS.items()
    ]  # fmt: skip
    designs = [_design(name, codes) for name, codes in AXES.items()]
    return Ground(
        yards, manager, {yard.pk: _workers(yard) for yard in yards},
        {yard.pk: _tools(yard, now) for yard in yards}, [design.pk for design in designs],
        {design.pk: _places(design, manager, now) for design in designs},
    )  # fmt: skip


def _design(name: str, codes: tuple[str, ...]) -> Design:
    axle, linkage, knuckle, hub = (Layout.objects.get(code=code) for code in codes)
    return Design.objects.create(
        name=f"Foothill {name}", make="Foothill", axle=axle, linkage=linkage, knuckle=knuckle,
        hub=hub, toe_low_m=0.0, toe_high_m=0.003175, toe_typed="0 to 1/8 in", toe_source="invented",
    )  # fmt: skip


def _workers(yard: Yard) -> list[int]:
    people = [
        Person.objects.create_user(
            f"{yard.slug}-{n}", name=f"Technician {n} of {yard.name}", role=Role.TECHNICIAN
        )
        for n in range(WORKERS_A_YARD)
    ]
    Posting.objects.bulk_create(Posting(person=person, yard=yard) for person in people)
    return [person.pk for person in people]


def _tools(yard: Yard, now: datetime) -> list[int]:
    """One of them is due soon, and one was dropped."""
    rows = [
        TorqueTool(
            code=f"{yard.slug}-T{n}", name="half-inch wrench", kind="set", low_nm=40, high_nm=340,
            yard=yard, good_until=now.date() + timedelta(days=5 if n == 1 else 200),
            doubted_since=now - timedelta(days=3) if n == 0 else None,
        )
        for n in range(TOOLS_A_YARD)
    ]  # fmt: skip
    return [tool.pk for tool in TorqueTool.objects.bulk_create(rows)]


def _places(design: Design, manager: Person, now: datetime) -> list[Place]:
    layouts = [design.axle_id, design.linkage_id, design.knuckle_id, design.hub_id]
    common = Layout.objects.filter(axis=Layout.Axis.COMMON).values_list("pk", flat=True)
    rows = LayoutJoint.objects.filter(layout__in=[*layouts, *common]).select_related("kind")
    kinds = {row.kind_id: row.kind for row in rows}
    specs = {kind.pk: _spec(design, kind, manager, now) for kind in kinds.values()}
    return [_place(row, specs[row.kind_id]) for row in rows.order_by("order", "id")]


def _spec(design: Design, kind: JointKind, manager: Person, now: datetime) -> int | None:
    if not kind.torque_seen_by_wrench:
        return None
    return TorqueSpec.objects.create(
        design=design, kind=kind, origin="factory", is_target=True, typed="125 lbf·ft",
        low_nm=155.0, high_nm=184.0, thread_condition="dry", thread="M14 × 2",
        strength_class="10.9", source="Foothill service manual, invented", since=now,
        set_by=manager,
    ).pk  # fmt: skip


def _place(row: LayoutJoint, spec_id: int | None) -> Place:
    kind, sides = row.kind, defaultdict(str, left=", left", right=", right")
    return Place(
        row.pk, kind.pk, kind.code, kind.names["en"] + sides[row.side], row.side, row.order,
        kind.holds, kind.torque_seen_by_wrench, (kind.play_methods or ["feel"])[0], spec_id,
    )  # fmt: skip
