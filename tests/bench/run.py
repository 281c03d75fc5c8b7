"""One size on the database that the environment names; started by tests.bench, ends with it."""

import argparse
import os
import sys
import time
import warnings
from pathlib import Path

import django
from django.conf import settings

SQLITE = "SQLite"


def main(arguments: list[str]) -> None:
    parser = argparse.ArgumentParser(prog="tests.bench.run")
    parser.add_argument("size")
    parser.add_argument("rounds", type=int)
    parser.add_argument("report", type=Path)
    asked = parser.parse_args(arguments)
    os.environ["DJANGO_SETTINGS_MODULE"] = "fleet.settings"
    settings.ROOT_URLCONF = "tests.bench.urls"
    # The site serves no static file here.
    warnings.filterwarnings("ignore", message="No directory at")
    django.setup()
    asked.report.write_text(report(asked.size, asked.rounds), encoding="utf-8")


def report(size_name: str, rounds: int) -> str:
    """Build, measure, weigh; what comes back is for printing."""
    # The records can be loaded only now.
    from django.core.management import call_command  # noqa: PLC0415
    from django.db import connection  # noqa: PLC0415

    from tests.bench import bulk_rows, close_row, fleet_of, read_rows, scan_rows, table, web_memory  # noqa: PLC0415

    size = fleet_of.SIZES[size_name]
    name = SQLITE if connection.vendor == "sqlite" else "PostgreSQL"
    call_command("migrate", verbosity=0)
    started = time.monotonic()
    ground = fleet_of.build(size, tell)
    built = time.monotonic() - started
    title = f"{name}, size {size.name}: {fleet_of.counts()}; made in {built:.0f} s"
    rows = []
    for row in read_rows.rows(ground.manager, rounds):
        tell(f"  {row.name}")
        rows.append(row)
    weight = web_memory.weigh(ground.manager)
    rows.append(close_row.close_row(ground, size, min(rounds, 8)))
    scans = table.bulk_table(scan_rows.rows(tell), "Patterns")
    bulk = table.bulk_table(bulk_rows.rows(ground.manager, size.name, tell))
    return f"{table.table(title, rows)}\n{weight}\n\n{scans}\n\n{bulk}\n"


def tell(line: str) -> None:
    print(line, file=sys.stderr, flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
