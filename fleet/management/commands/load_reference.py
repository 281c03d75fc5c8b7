"""`manage.py load_reference`: joint kinds, layouts and the fleet's first rules."""

from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference


class Command(BaseCommand):
    help = "Load joint kinds, layouts and rules from fixtures/. Safe to repeat."

    def handle(self, *args: Any, **options: Any) -> None:
        counts = load_reference(server_actor("command"), at=timezone.now())
        self.stdout.write(", ".join(f"{count} {what}" for what, count in counts.items()))
