"""The due list under each of its filters, as page and as JSON, beside hand-written SQL.

    python -m tests.bench.due_list L
    python -m tests.support.with_servers postgresql --durable -- python -m tests.bench.due_list L

builds the due list's own fleet (due_fleet.py; a few minutes at L) in a folder that goes afterwards
and prints processor milliseconds: ours with the database's, since other work may share the machine.
"""

import argparse
import os
import sys
import tempfile
import time
import warnings
from functools import partial
from pathlib import Path
from statistics import median
from typing import Any

import django
from django.conf import settings

ROUNDS = 9
HEADS = ("", "page ms", "SQL ms", "ratio", "JSON ms", "SQL ms", "ratio", "rows")
SIZES = ("S", "M", "L")


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="tests.bench.due_list", description=__doc__)
    parser.add_argument("size", choices=SIZES, nargs="?", default="S")
    parser.add_argument("--kept", type=Path, help="a folder whose fleet is measured again")
    asked = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory(prefix="axlekeep-bench-") as folder:
        os.environ |= {
            "AXLEKEEP_DATA": str(asked.kept or folder), "AXLEKEEP_PLAIN_STATIC": "1",
            "DJANGO_SETTINGS_MODULE": "fleet.settings",
        }  # fmt: skip
        settings.ROOT_URLCONF = "tests.bench.urls"
        warnings.filterwarnings("ignore", message="No directory at")
        django.setup()
        print(report(asked.size), flush=True)
    return 0


def report(size: str) -> str:
    # The records can be loaded only now.
    from django.core.management import call_command  # noqa: PLC0415

    from fleet.records.models import Person, Vehicle  # noqa: PLC0415
    from tests.bench import due_fleet, fleet_of, table  # noqa: PLC0415
    from tests.bench.due_sql import CHOICES  # noqa: PLC0415

    call_command("migrate", verbosity=0)
    if not Vehicle.objects.exists():
        due_fleet.build(fleet_of.SIZES[size], tell)
    manager = Person.objects.get(username="manager")
    rows = [line(choice, manager) for choice in CHOICES]
    return table.plain_table(f"Due, size {size}", [HEADS, *rows])


def line(choice: Any, manager: Any) -> tuple[str, ...]:
    """One choice of the filters: both doors checked against the SQL, then timed."""
    from tests.bench.doors import at_the_api, at_the_pages, read  # noqa: PLC0415
    from tests.bench.due_sql import person, yardstick  # noqa: PLC0415

    cells, count = [], 0
    doors = (("/due/", "/bench/empty/", at_the_pages), ("/api/v1/due/", EMPTY_JSON, at_the_api))
    for address, empty, way in doors:
        client, sql = way(manager), yardstick(choice, whole=address != "/due/")
        asked = f"{address}?{choice.query}".format(person=person())
        ids, count = sql()
        told = read(client, asked).content.decode()
        wanted = [
            f'name="recheck" value="{pk}"' if address == "/due/" else f'"id":{pk},' for pk in ids
        ]
        lacking = [one for one in wanted if one not in told]
        if lacking:
            raise SystemExit(f"{asked} does not show {lacking[:3]}")
        ours = median(cpu_ms(partial(read, client, asked)) for _ in range(ROUNDS))
        blank = median(cpu_ms(partial(read, client, empty)) for _ in range(ROUNDS))
        bare = median(cpu_ms(sql) for _ in range(ROUNDS))
        cells += [f"{ours:.0f}", f"{bare:.1f}", f"{(ours - blank) / bare:.1f}"]
    return (choice.name, *cells, f"{count:,}")


EMPTY_JSON = "/api/v1/problems/not-valid/"


def cpu_ms(run: object) -> float:
    """Of this process and of the database's that serves it."""
    before = used()
    run()  # type: ignore[operator]
    return (used() - before) / 1e6


def used() -> int:
    """Nanoseconds of the processor so far; SQLite runs in this process."""
    from django.db import connection  # noqa: PLC0415

    mine = time.process_time_ns()
    if connection.vendor != "postgresql":
        return mine
    connection.ensure_connection()
    pid = connection.connection.info.backend_pid
    return mine + int(Path(f"/proc/{pid}/schedstat").read_text(encoding="ascii").split()[0])


def tell(words: str) -> None:
    print(words, file=sys.stderr, flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
