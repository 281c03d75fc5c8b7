"""Bringing in by the thousand beside COPY of the same rows: vehicles with joints, readings."""

import json
from collections.abc import Callable
from datetime import datetime, timedelta

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from fleet.operations.actor import Actor
from fleet.operations.bring_in import import_readings, import_vehicles, record_readings
from fleet.operations.meters import Reading
from fleet.records.models import Joint, JointState, MeterReading, Person, Recheck, Vehicle
from tests.bench.bulk_files import DAYS, FEW, MANY, Fleet, Typed, reading_file
from tests.bench.bulk_twin import WITH_READINGS, WITH_VEHICLES, Twin
from tests.bench.bulk_way import Way
from tests.bench.doors import at_the_api, at_the_pages
from tests.bench.measure import BulkRow

# Vehicles brought in a round, with five times as many readings through each way in; and rounds.
SIZES = {"S": (2_000, 3), "M": (6_000, 2), "L": (20_000, 1)}
WARM = 60
API_ROWS = 5_000
Taken = Callable[[list[Typed], dict[str, int]], datetime]


def rows(person: Person, size: str, tell: Callable[[str], None]) -> list[BulkRow]:
    vehicles, rounds = SIZES[size]
    Bulk(person).round(Fleet("NA", WARM))
    bulk = Bulk(person)
    for n in range(rounds):
        tell(f"  bringing in, round {n + 1} of {rounds}")
        bulk.round(Fleet("PQR"[n] + "BCD"[n], vehicles))
    return [way.row() for way in bulk.ways]


class Bulk:
    """The ways in, each beside its yardstick."""

    def __init__(self, person: Person) -> None:
        self.actor, self.pages, self.api = Actor(person), at_the_pages(person), at_the_api(person)
        self.vehicles = Way("Vehicles with joints, file", 8.0, [])
        self.operation = Way(f"Readings, operation, {MANY} a vehicle", 5.0, [])
        self.few = Way(f"Readings, operation, {FEW} a vehicle", 5.0, [])
        self.file = Way("Readings, file", 20.0, [])
        self.page = Way("Readings, page: look and yes", 20.0, [])
        self.json = Way("Readings, API", 20.0, [])
        self.ways = [self.vehicles, self.operation, self.few, self.file, self.page, self.json]

    def round(self, fleet: Fleet) -> None:
        data, now = fleet.vehicle_file(), timezone.now()
        self.vehicles.run(
            lambda: self._vehicles(data, now), lambda _: Twin(WITH_VEHICLES, fleet.mark)
        )
        _same_vehicles(fleet)
        ids = dict(Vehicle.objects.filter(unit_number__startswith=f"{fleet.mark}-")
                   .values_list("unit_number", "pk"))  # fmt: skip
        began = now.replace(hour=6, minute=0, second=0, microsecond=0) - timedelta(days=6 * DAYS)
        takes: list[Callable[[list[Typed], dict[str, int]], Callable[[], datetime]]] = [
            self._operation, self._operation, self._file, self._page, self._api,
        ]  # fmt: skip
        for nth, (way, take) in enumerate(zip(self.ways[1:], takes, strict=True)):
            each = MANY if way in (self.operation, self.json) else FEW
            typed = fleet.readings(began + timedelta(days=nth * DAYS), each)
            typed = [
                (number, when, _later(meter, nth), unit) for number, when, meter, unit in typed
            ]
            way.run(take(typed, ids), lambda at: Twin(WITH_READINGS, fleet.mark, at))
            _same_readings(typed)

    def _vehicles(self, data: bytes, at: datetime) -> None:
        report = import_vehicles(self.actor, data, at=at, dry_run=False)
        if not report.written:
            raise SystemExit(f"Refused: {report.problems[:3]}")

    def _operation(self, typed: list[Typed], ids: dict[str, int]) -> Callable[[], datetime]:
        readings = [Reading(ids[number], meter, unit, when) for number, when, meter, unit in typed]

        def do() -> datetime:
            at = timezone.now()
            record_readings(self.actor, readings, at=at)
            return at

        return do

    def _file(self, typed: list[Typed], ids: dict[str, int]) -> Callable[[], datetime]:
        data = reading_file(typed)

        def do() -> datetime:
            at = timezone.now()
            report = import_readings(self.actor, data, at=at, dry_run=False)
            if not report.written:
                raise SystemExit(f"Refused: {report.problems[:3]}")
            return at

        return do

    def _page(self, typed: list[Typed], ids: dict[str, int]) -> Callable[[], datetime]:
        data = reading_file(typed)

        def do() -> datetime:
            upload = SimpleUploadedFile("meters.csv", data)
            page = self.pages.post("/import/", {"kind": "readings", "file": upload}).text
            token = page.partition('name="token" value="')[2].partition('"')[0]
            if self.pages.post("/import/", {"token": token}).status_code != 302:
                raise SystemExit(f"Refused: {page[:500]}")
            return _last_heard()

        return do

    def _api(self, typed: list[Typed], ids: dict[str, int]) -> Callable[[], datetime]:
        """As many requests as it takes; the yardstick is the last one's rows, so one is timed."""
        bodies = [
            json.dumps({"readings": [
                {"vehicle": number, "at": f"{at:%Y-%m-%dT%H:%M:%SZ}", "meter": meter, "unit": unit}
                for number, at, meter, unit in typed[start:start + API_ROWS]
            ]})
            for start in range(0, len(typed), API_ROWS)
        ]  # fmt: skip
        *earlier, last = bodies
        for body in earlier:
            _sent(self.api, body)

        def do() -> datetime:
            _sent(self.api, last)
            return _last_heard()

        return do


def _later(meter: str, nth: int) -> str:
    """The same months on: each way in brings the next stretch of the log."""
    return f"{int(meter.replace(',', '')) + nth * 6_500:,}"


def _sent(api: Client, body: str) -> None:
    key = f'"{hash(body)}"'
    answer = api.post(
        "/api/v1/meter-readings/bulk/", body, "application/json", headers={"Idempotency-Key": key}
    )
    if answer.status_code != 201:
        raise SystemExit(f"Refused: {answer.content[:500]!r}")


def _last_heard() -> datetime:
    return MeterReading.objects.order_by("-received_at").values_list("received_at", flat=True)[0]


def _same_vehicles(fleet: Fleet) -> None:
    """What the file says is what is on file, each with its joints, their states, what it owes."""
    mine = Vehicle.objects.filter(unit_number__startswith=f"{fleet.mark}-")
    numbers = list(mine.order_by("unit_number").values_list("unit_number", flat=True))
    joints = Joint.objects.filter(vehicle__in=mine)
    states = JointState.objects.filter(joint__vehicle__in=mine)
    owing = Recheck.objects.filter(vehicle__in=mine).values("vehicle").distinct()
    if numbers != fleet.numbers() or owing.count() != len(numbers):
        raise AssertionError("vehicles brought in: not those of the file")
    if joints.count() != states.count() or joints.count() < 20 * len(numbers):
        raise AssertionError("vehicles brought in: joints are missing")


def _same_readings(typed: list[Typed]) -> None:
    """Each row of the file stands on file once, as it was typed."""
    numbers = {row[0] for row in typed}
    first, last = min(row[1] for row in typed), max(row[1] for row in typed)
    kept = MeterReading.objects.filter(
        vehicle__unit_number__startswith=typed[0][0][:3], occurred_at__range=(first, last)
    )
    found = kept.values_list("vehicle__unit_number", "occurred_at", "typed", "unit")
    if sorted(row for row in found if row[0] in numbers) != sorted(typed):
        raise AssertionError("readings brought in: not those of the file")
