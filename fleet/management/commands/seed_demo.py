"""`manage.py seed_demo`: fill an empty database with the invented demo fleet."""

import time
from argparse import ArgumentParser
from datetime import date
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.operations.demo import seed
from fleet.operations.errors import Refused


class Command(BaseCommand):
    help = "Fill an empty database with the invented demo fleet. The same --today, the same data."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--today", type=date.fromisoformat, help="YYYY-MM-DD; default today")
        parser.add_argument("--vehicles", type=int, default=seed.FLEET)
        parser.add_argument("--years", type=int, default=seed.YEARS)

    def handle(self, *args: Any, **options: Any) -> None:
        today = options["today"] or seed.today_there(timezone.now())
        began = time.monotonic()
        try:
            counts = seed.seed(
                today, say=self.stdout.write, fleet=options["vehicles"], years=options["years"]
            )
        except Refused as refusal:
            raise CommandError(str(refusal)) from refusal
        rows = ", ".join(f"{count} {name}" for name, count in sorted(counts.items()))
        self.stdout.write(f"Seeded in {time.monotonic() - began:.1f} s: {rows}")
