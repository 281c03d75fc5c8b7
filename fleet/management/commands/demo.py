"""`manage.py demo`: the invented fleet, the site and its background work, from one command."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from fleet.management import demo_data, serving
from fleet.operations.demo import inputs, people

FOR_THE_DEMO = """\
  For the demo only. The fleet, its people and its figures are invented: work on a vehicle
  follows the manufacturer's service information and local rules.
"""


class Command(BaseCommand):
    help = "Make the demo where it is missing and serve it on this machine. Ctrl-C stops it."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--host", default="127.0.0.1")
        parser.add_argument("--port", type=int, default=serving.FIRST_PORT)
        parser.add_argument("--reset", action="store_true", help="throw the demo data away first")
        parser.add_argument("--no-serve", action="store_true", help="make the data and end")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["reset"]:
            demo_data.start_over(self._say)
        demo_data.prepare(self._say)
        if options["no_serve"]:
            self._tell_sign_ins()
            return
        host, port = options["host"], serving.free_port(options["host"], options["port"])
        with serving.serving(host, port) as children:
            if not serving.is_up(host, port, children):
                raise CommandError("The site did not come up; what it said stands above.")
            self._say(f"\nAxlekeep's demo is at http://{host}:{port}/   (Ctrl-C stops it)\n")
            self._tell_sign_ins()
            if not serving.until_told(children):
                raise CommandError("One of the two processes ended by itself; both are stopped.")
        self._say("Stopped. The data is kept; the same command starts it again.")

    def _say(self, text: str) -> None:
        self.stdout.write(text)
        self.stdout.flush()

    def _tell_sign_ins(self) -> None:
        """Who can sign in; simple passwords, because nothing here is anybody's."""
        rows = [("sign-in", "role", "yards", "name")]
        for row in inputs.read("people"):
            yards = "all yards" if row["yards"] == "all" else ", ".join(row["yards"])
            rows.append((row["username"], row["role"], yards, row["name"]))
        widths = [max(len(row[at]) for row in rows) for at in range(4)]
        for row in rows:
            cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
            self._say("  " + "  ".join(cells).rstrip())
        self._say(f"\n  Password of everybody: {people.password()}\n{FOR_THE_DEMO}")
