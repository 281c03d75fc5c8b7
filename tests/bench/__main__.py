"""Measure the program against hand-written SQL, on PostgreSQL and on SQLite beside it.

    make bench SIZE=S
    python -m tests.support.with_servers postgresql --durable -- python -m tests.bench S

builds a seeded fleet in a database that holds nothing else, checks that both sides give the same
facts, and prints a table for each database; `--out` writes it to a file too. Lives and plans,
which need no database, come last.
"""

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.bench import lives, plans
from tests.bench.table import BULK_NOTE, NOTE

ROUNDS = {"S": 15, "M": 15, "L": 15}


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="tests.bench", description=__doc__)
    parser.add_argument("size", choices=ROUNDS, nargs="?", default="S")
    parser.add_argument("--rounds", type=int, help="paired runs a row")
    parser.add_argument("--only", choices=["postgresql", "sqlite"], help="one database alone")
    parser.add_argument("--out", type=Path, help="write the table to this file too")
    asked = parser.parse_args(arguments)
    reports = []
    for name in [asked.only] if asked.only else ["postgresql", "sqlite"]:
        if name == "postgresql" and not os.environ.get("DATABASE_URL", "").startswith("postgres"):
            print("No DATABASE_URL of a PostgreSQL server: SQLite only.", file=sys.stderr)
            continue
        reports.append(_run(name, asked.size, asked.rounds or ROUNDS[asked.size]))
        print(reports[-1], flush=True)
    print(f"{NOTE}\n{BULK_NOTE}\n", flush=True)
    fits = f"{lives.table()}\n{lives.NOTE}"
    print(fits, flush=True)
    made = f"{plans.table()}\n{plans.NOTE}"
    print(made)
    if asked.out:
        text = "\n".join([*reports, NOTE, BULK_NOTE, "", fits, "", made, ""])
        asked.out.write_text(text, encoding="utf-8")
    return 0 if all(reports) else 1


def _run(database: str, size: str, rounds: int) -> str:
    """In a process of its own, with a folder of its own that goes afterwards."""
    with tempfile.TemporaryDirectory(prefix="axlekeep-bench-") as folder:
        kept = {name: value for name, value in os.environ.items()
                if not name.startswith("AXLEKEEP_") and name != "REDIS_URL"}  # fmt: skip
        if database == "sqlite":
            kept.pop("DATABASE_URL", None)
        kept |= {"AXLEKEEP_DATA": folder, "AXLEKEEP_PLAIN_STATIC": "1"}
        report = Path(folder) / "report.txt"
        command = [sys.executable, "-m", "tests.bench.run", size, str(rounds), str(report)]
        subprocess.run(command, check=False, env=kept)
        return report.read_text(encoding="utf-8") if report.exists() else ""


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
