"""`manage.py rebuild_state`: write the kept states again from the facts, or only compare."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.operations.actor import server_actor
from fleet.operations.rebuild import differences, rebuild

MOST_SHOWN = 200


class Command(BaseCommand):
    help = "Rebuild the states of joints and meters, and projected dates, from the facts."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--check",
            action="store_true",
            help="write nothing; list what differs, and end with 1 if anything does",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        if options["check"]:
            self._check()
            return
        done = rebuild(server_actor("command"), at=timezone.now())
        self.stdout.write(f"{done} vehicles rebuilt")

    def _check(self) -> None:
        count = 0
        for count, difference in enumerate(differences(), start=1):
            if count <= MOST_SHOWN:
                self.stdout.write(str(difference))
        if count:
            raise CommandError(f"{count} differences", returncode=1)
        self.stdout.write("What is kept is what the facts say.")
