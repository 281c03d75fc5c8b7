"""`manage.py work`: the background work of an installation without a broker."""

import signal
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from fleet.management.rounds import Rounds


class Command(BaseCommand):
    help = (
        "Deliver notices, roll due states, look for patterns, until stopped (Ctrl-C or SIGTERM). "
        "Needed beside the web process where REDIS_URL is not set."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--once", action="store_true", help="one round of everything that is due, then end"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        rounds = Rounds()
        if options["once"]:
            while rounds.once():
                pass
            if not rounds.well:
                raise CommandError("Something failed; the log says what.")
            return
        self._until_told(rounds)

    def _until_told(self, rounds: Rounds) -> None:
        def stop(number: int, _frame: object) -> None:
            # A second signal ends it at once: whatever is in hand is rolled back and done again.
            signal.signal(number, signal.SIG_DFL)
            rounds.stop()

        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, stop)
        self.stdout.write("Working. Stop with Ctrl-C.")
        self.stdout.flush()
        rounds.until_stopped()
        self.stdout.write("Stopped.")
