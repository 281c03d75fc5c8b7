"""One vehicle's page: identity, holds, joints, what is owed, toe, figures and patterns."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from fleet.reads.due import STALE_DAYS, DueItem, due_items, is_stale, owed
from fleet.reads.few import Few, few
from fleet.reads.geometry import Bump, bump_of
from fleet.reads.joints import JointGroup, JointRow, in_groups, joints_of
from fleet.reads.patterns import PatternRow, pattern_rows, waiting
from fleet.reads.rules import settings_now
from fleet.reads.tickets import OVER
from fleet.reads.toe_chart import ToeChart, ToePoint, of_tape, toe_chart
from fleet.reads.toe_specs import ToeSpec
from fleet.reads.toe_visits import Drift, drifts
from fleet.reads.vehicles import holds_on, read_over_on
from fleet.reads.yard_moves import move_on
from fleet.records.models import (
    Hold,
    Person,
    ReadOver,
    Ticket,
    ToeReading,
    TorqueSpec,
    Vehicle,
    YardMove,
)

# As found and as left at forty visits: ten years of a vehicle whose toe is set once a quarter.
MOST_TOES = 80


@dataclass(frozen=True)
class ToeRow:
    """A reading, and for one as found what toe did since it was last left."""

    reading: ToeReading
    drift: Drift | None
    point: ToePoint

    @property
    def spec(self) -> ToeSpec | None:
        """What applied when it was read."""
        return self.point.spec

    @property
    def is_out(self) -> bool:
        return self.point.is_out


@dataclass(frozen=True)
class VehicleFile:
    vehicle: Vehicle
    holds: list[Hold]
    # By which it is out for a time, though a ticket holds it.
    read_over: ReadOver | None
    move: YardMove | None
    ticket: Ticket | None
    stale: bool
    # In walking order, and the same in groups.
    joints: list[JointRow]
    groups: list[JointGroup]
    owed: list[DueItem]
    toes: Few[ToeReading]
    toe_chart: ToeChart
    patterns: list[PatternRow]
    specs: list[TorqueSpec]
    bump: Bump | None

    @property
    def toe_rows(self) -> list[ToeRow]:
        """The readings shown, each beside what came before it among them."""
        since = {one.found.pk: one for one in drifts(self.toes.rows)}
        stood = self.toe_chart.stood
        return [ToeRow(row, since.get(row.pk), of_tape(row, 0, stood)) for row in self.toes]


def vehicles_with_all_shown(person: Person) -> QuerySet[Vehicle]:
    """Vehicles in scope with what their page says of them in one query."""
    return Vehicle.visible_to(person).select_related(
        "yard",
        "use__last_reading",
        "design__axle",
        "design__linkage",
        "design__knuckle",
        "design__hub",
    )


def vehicle_file(person: Person, vehicle: Vehicle, now: datetime) -> VehicleFile:
    """All that the page shows but the timeline; the number of queries is fixed."""
    stale_days = int(settings_now().get("stale_meter_days", STALE_DAYS))
    joints = joints_of(vehicle, now)
    mine = waiting(person).filter(vehicle=vehicle)
    toes = few(toes_of(vehicle), MOST_TOES)
    return VehicleFile(
        vehicle=vehicle,
        holds=holds_on(vehicle),
        read_over=read_over_on(vehicle),
        move=move_on(vehicle),
        ticket=open_ticket(vehicle),
        stale=is_stale(vehicle, now, stale_days),
        joints=joints,
        groups=in_groups(joints),
        owed=due_items(owed(person).filter(vehicle=vehicle), now),
        toes=toes,
        toe_chart=toe_chart(vehicle, toes.rows),
        patterns=pattern_rows(mine, person),
        specs=figures_of(vehicle),
        bump=bump_of(vehicle),
    )


def toes_of(vehicle: Vehicle) -> QuerySet[ToeReading]:
    """Every toe read on a vehicle, newest first."""
    return ToeReading.objects.filter(vehicle=vehicle).select_related("by", "line_entry")


def open_ticket(vehicle: Vehicle) -> Ticket | None:
    """The ticket under way; a vehicle has one at most."""
    return Ticket.objects.filter(vehicle=vehicle).exclude(state__in=OVER).first()


def figures_of(vehicle: Vehicle) -> list[TorqueSpec]:
    """The figures a wrench is set to on this vehicle's joints."""
    rows = TorqueSpec.objects.filter(design=vehicle.design_id, is_current=True, is_target=True)
    return list(rows.select_related("kind").order_by("kind__group", "kind__code"))
