"""The bench's fleet in an empty database, made by sets and the same every time."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import connection, transaction
from django.utils import timezone

from fleet.operations import state
from fleet.records.models import Joint, Vehicle
from tests.bench.ground import Ground, lay_ground
from tests.bench.life import Life
from tests.bench.load import reset_sequences
from tests.bench.tables import Tables
from tests.bench.today import stand


@dataclass(frozen=True)
class Size:
    name: str
    vehicles: int
    years: int


SIZES = {
    "S": Size("S", 60, 4),
    "M": Size("M", 2_000, 4),
    "L": Size("L", 20_000, 5),
}
AT_ONCE = 250


def build(size: Size, tell: Callable[[str], None]) -> Ground:
    """Fill the database; it has been migrated and holds nothing else."""
    if Vehicle.objects.exists():
        raise SystemExit("This database is in use. The bench fills an empty one of its own.")
    now = timezone.now().replace(microsecond=0)
    ground, tables = lay_ground(now), Tables()
    for start in range(0, size.vehicles, AT_ONCE):
        numbers = range(start, min(start + AT_ONCE, size.vehicles))
        _make(tables, ground, numbers, now, size.years)
        tell(f"  {numbers[-1] + 1} of {size.vehicles} vehicles")
    _finish(tables)
    return ground


def add_for_closing(ground: Ground, size: Size, how_many: int) -> list[Vehicle]:
    """More vehicles, all of one design and of the first yard, with nothing open on them."""
    now, tables = timezone.now().replace(microsecond=0), Tables()
    step = len(ground.yards)
    first = (size.vehicles // step + 1) * step
    numbers = range(first, first + how_many * step, step)
    for number in numbers:
        # Their last repairs lie so far back that no recheck of them is owed.
        Life(tables, ground, number, now, size.years, ground.designs[0], quiet_days=90).live()
    _flush(tables)
    _finish(tables)
    return list(Vehicle.objects.filter(unit_number__in=[f"B-{n:05d}" for n in numbers]))


def counts() -> str:
    """How much there is, in a line."""
    tables = Tables()
    models = {
        "vehicles": tables.vehicle, "joints": tables.joint, "findings": tables.finding,
        "torques": tables.torque, "rechecks": tables.recheck, "trail entries": tables.trail,
    }  # fmt: skip
    return ", ".join(f"{t.model._default_manager.count():,} {n}" for n, t in models.items())


def _make(tables: Tables, ground: Ground, numbers: range, now: datetime, years: int) -> None:
    for number in numbers:
        life = Life(tables, ground, number, now, years)
        life.live()
        stand(life)
    _flush(tables)


def _flush(tables: Tables) -> None:
    with transaction.atomic(), connection.cursor() as cursor:
        tables.flush(cursor)


def _finish(tables: Tables) -> None:
    reset_sequences(tables.all())
    _keep_states()
    analyze()


def _keep_states() -> None:
    """By the operations' own hand: what is kept of each joint follows from its facts."""
    new = Joint.objects.filter(state=None).order_by("pk")
    ids = list(new.values_list("pk", flat=True))
    for start in range(0, len(ids), state.CHUNK * 5):
        with transaction.atomic():
            state.refresh(ids[start : start + state.CHUNK * 5])


def analyze() -> None:
    """As a site's database is after its first night."""
    with connection.cursor() as cursor:
        cursor.execute("VACUUM ANALYZE" if connection.vendor == "postgresql" else "ANALYZE")
