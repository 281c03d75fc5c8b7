"""A fleet for the due list alone, at any size in a minute or two: what is owed, without the years
of findings behind it.

Every vehicle has its joints with a mark, a meter, what it owes and what it owed once; some are
held, laid up or sold, some lines are put off or handed to somebody.
"""

from collections.abc import Callable
from datetime import datetime, timedelta

from django.db import connection, transaction
from django.utils import timezone

from fleet.records.models import JointState, Vehicle
from tests.bench.fleet_of import AT_ONCE, Size, analyze
from tests.bench.ground import Ground, lay_ground
from tests.bench.life import DAY, Life
from tests.bench.load import Table, reset_sequences
from tests.bench.tables import Tables
from tests.bench.today import stand

# Retorques that were done, a vehicle: they stand in the same table.
DONE = 12
LIVE = "state IN ('owed', 'missed')"
# Of the vehicles and of their lines, one in so many: laid up, sold, driven far, handed to
# somebody, put off, and ordered by a sweep.
VARY = (
    "UPDATE records_vehicle SET status = 'laid_up', laid_up_on = in_fleet_since WHERE id %% 40 = 7",
    "UPDATE records_vehicle SET status = 'out', left_fleet_on = in_fleet_since WHERE id %% 50 = 9",
    "UPDATE records_vehicleuse SET last_use_si = last_use_si + 2000000 WHERE vehicle_id %% 30 = 4",
    f"""UPDATE records_recheck SET use_on = (SELECT date(u.last_at) FROM records_vehicleuse u
        WHERE u.vehicle_id = records_recheck.vehicle_id), falls_on = (SELECT date(u.last_at)
        FROM records_vehicleuse u WHERE u.vehicle_id = records_recheck.vehicle_id)
        WHERE {LIVE} AND due_use_si < (SELECT u.last_use_si FROM records_vehicleuse u
        WHERE u.vehicle_id = records_recheck.vehicle_id)""",
    f"""UPDATE records_recheck SET assigned_to_id = (SELECT min(p.person_id) FROM records_posting p
        JOIN records_vehicle v ON v.yard_id = p.yard_id WHERE v.id = vehicle_id)
        WHERE {LIVE} AND id %% 5 = 0""",
    """UPDATE records_recheck SET put_off_by_id = %(manager)s, put_off_reason = 'at the shop',
        ruled_on = due_on, ruled_use_si = due_use_si
        WHERE state = 'owed' AND ladder = 'track_bar' AND id %% 20 = 1""",
    f"""UPDATE records_recheck SET kind = 'sweep' WHERE {LIVE} AND joint_id IS NOT NULL
        AND id %% 97 = 3""",
)


class DueTables(Tables):
    def __init__(self) -> None:
        super().__init__()
        self.joint_state = Table(JointState, "joint_id", "mark")


class Owing(Life):
    """A vehicle as it stands today; of its past only the rechecks that were done."""

    to: DueTables

    def live(self) -> None:
        unread = timedelta(days=60 if self.number % 20 == 5 else 2, hours=self.number % 97)
        end = self.now - unread
        use = self.use_at(end)
        read = self.to.reading.add(
            end, self.worker(), self.vehicle, f"{use / 1609.344:.0f}", round(use / 1609.344), use
        )
        rate = float(self.metres_a_day)
        self.to.use.add(self.vehicle, read, end, use, rate * 0.85, rate, rate * 1.15)
        # Spread, so that a few of the routine looks are late and most are not.
        self.last_look = self.now - (self.number * 11 % 124) * DAY
        for spot in self.spots:
            self.to.joint_state.add(spot.pk, "no_play")
        for nth in range(DONE):
            began = self.start + nth * 25 * DAY
            self._done(self.spots[nth % len(self.spots)].pk, began)

    def _done(self, joint: int, began: datetime) -> None:
        start, likely = self.use_at(began), began.date() + timedelta(days=7)
        self.to.recheck.add(
            self.vehicle, joint, "retorque", "done", "rod_end", 0, ["wrench"], None, None, began,
            start, likely, start + 7 * self.metres_a_day, likely, likely, likely, likely, None,
            began + 6 * DAY, None, None,
        )  # fmt: skip


def build(size: Size, tell: Callable[[str], None]) -> Ground:
    """Fill an empty, migrated database."""
    if Vehicle.objects.exists():
        raise SystemExit("This database is in use. The bench fills an empty one of its own.")
    now = timezone.now().replace(microsecond=0)
    ground, tables = lay_ground(now), DueTables()
    for start in range(0, size.vehicles, AT_ONCE * 4):
        for number in range(start, min(start + AT_ONCE * 4, size.vehicles)):
            life = Owing(tables, ground, number, now, years=1)
            life.live()
            stand(life)
        with transaction.atomic(), connection.cursor() as cursor:
            tables.flush(cursor)
        tell(f"  {min(start + AT_ONCE * 4, size.vehicles)} of {size.vehicles} vehicles")
    reset_sequences(tables.all())
    with connection.cursor() as cursor:
        for statement in VARY:
            cursor.execute(statement, {"manager": ground.manager.pk})
    analyze()
    return ground
