"""`manage.py bring_in vehicles|readings FILE --as USERNAME [--dry-run] [--whole]`."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.operations.actor import Actor
from fleet.operations.bring_in import BroughtIn, import_readings, import_vehicles, question
from fleet.operations.errors import NotAllowed
from fleet.records.models import Person

IMPORTERS = {"vehicles": import_vehicles, "readings": import_readings}
WITH_WHOLE = "With --whole it is taken as the whole file."


class Command(BaseCommand):
    help = "Bring in a CSV file of vehicles or meter readings: all of it, or nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("kind", choices=sorted(IMPORTERS))
        parser.add_argument("file", type=Path)
        parser.add_argument("--as", dest="username", required=True, help="whose sign-in name")
        parser.add_argument(
            "--dry-run", action="store_true", help="say what would come of it, and write nothing"
        )
        parser.add_argument(
            "--whole", action="store_true",
            help="the file is whole, although no line end stands behind its last row",
        )  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        person = Person.objects.filter(username=options["username"], is_active=True).first()
        if person is None:
            raise CommandError(f"nobody signs in as {options['username']}")
        try:
            with options["file"].open("rb") as source:
                report = IMPORTERS[options["kind"]](
                    Actor(person, "command"), source, at=timezone.now(),
                    dry_run=options["dry_run"], whole=options["whole"],
                )  # fmt: skip
        except OSError as error:
            raise CommandError(f"{options['file']} can't be read: {error.strerror}") from error
        except NotAllowed as error:
            raise CommandError(str(error)) from error
        self._tell(report)

    def _tell(self, report: BroughtIn) -> None:
        for note in report.notes:
            self.stdout.write(note)
        for problem in report.problems:
            place = [f"row {problem.row}" if problem.row else "", problem.column]
            where = ", ".join(filter(None, place))
            typed = f" “{problem.typed}”" if problem.typed else ""
            self.stdout.write(f"{where}{typed}: {problem.message}".removeprefix(": "))
        if not report.fine:
            more = report.problem_count - len(report.problems)
            if report.in_doubt:
                self.stdout.write(WITH_WHOLE)
            raise CommandError(
                f"{report.problem_count} problems{f', {more} not listed' if more else ''}; "
                "nothing was written"
            )
        if asked := question(report):
            self.stdout.write(f"{asked} {WITH_WHOLE}")
        verb = "came in" if report.written else "would come in"
        self.stdout.write(
            f"{report.rows} rows: {report.added} {verb}, {report.on_file} already on file, "
            f"{report.repeated} repeated"
        )
