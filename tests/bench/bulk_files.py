"""What another program would export of a fleet: its vehicles, and their meter readings."""

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from fleet.calc.vin import check_digit
from tests.bench.ground import AXES, YARDS

VEHICLE_TITLES = ("unit number", "VIN", "design", "yard", "duty", "meter unit", "meter",
                  "model year", "corrosion", "tire size", "wheel diameter", "lift",
                  "in fleet since")  # fmt: skip
READING_TITLES = ("unit number", "read on", "meter", "unit")
DUTIES = ("highway", "gravel", "off-road", "plow")
# Readings of each vehicle: a fleet's log books, and what a program that reads meters sends.
FEW, MANY = 5, 50
DAYS = 150
Typed = tuple[str, datetime, str, str]


@dataclass(frozen=True)
class Fleet:
    """The invented vehicles of one round: as many as are asked for, none met before."""

    mark: str
    vehicles: int

    def numbers(self) -> list[str]:
        return [f"{self.mark}-{n:05d}" for n in range(self.vehicles)]

    def vehicle_file(self) -> bytes:
        designs, yards = list(AXES), list(YARDS)
        return _csv(VEHICLE_TITLES, (
            (number, _vin(self.mark, n), f"Foothill {designs[n % len(designs)]}",
             yards[n % len(yards)], DUTIES[n % len(DUTIES)], "mi", f"{80_000 + n:,}",
             2016 + n % 9, "mixed", "LT245/75R17", "17 in", "2 in" if n % 5 == 0 else "0",
             f"{2018 + n % 7}-05-03")
            for n, number in enumerate(self.numbers())
        ))  # fmt: skip

    def readings(self, first: datetime, each: int) -> list[Typed]:
        """By day, as log books have them: over half a year, as many of each vehicle, and as many
        in all whether many vehicles have few or few have many."""
        numbers = self.numbers()[: self.vehicles * FEW // each]
        apart = DAYS // each
        return [
            (number, first + timedelta(days=apart * nth, minutes=n % 600),
             f"{40_000 + n + nth * apart * (30 + n % 10):,}", "mi")
            for nth in range(each)
            for n, number in enumerate(numbers)
        ]  # fmt: skip


def reading_file(rows: Iterable[Typed]) -> bytes:
    lines = ((number, f"{when:%Y-%m-%d %H:%M}+00:00", *rest) for number, when, *rest in rows)
    return _csv(READING_TITLES, lines)


def _vin(mark: str, number: int) -> str:
    """Invented, with the right check digit."""
    body = f"1ZVAB12C0{mark[1]}D{number:06d}"
    return body[:8] + check_digit(body) + body[9:]


def _csv(titles: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(titles)
    writer.writerows(rows)
    return text.getvalue().encode()
