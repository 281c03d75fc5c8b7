"""`manage.py first_manager`: how the first person of a new installation comes to be.

The site itself never makes one: whoever can run a command on the server may, no stranger.
"""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.management.handing_over import add_address, told
from fleet.operations.actor import server_actor
from fleet.operations.errors import Refused
from fleet.operations.people import NewPerson, add_first_manager
from fleet.records.models import JointKind, Role


class Command(BaseCommand):
    help = "Make the first manager and print a one-time link for choosing the password."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username", help="the sign-in name")
        parser.add_argument("--name", required=True, help="the name as others know it")
        add_address(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        now = timezone.now()
        new = NewPerson(options["username"], options["name"], Role.MANAGER, all_yards=True)
        try:
            person = add_first_manager(server_actor("command"), new, at=now).row
        except Refused as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(told(person, options["address"], now))
        if not JointKind.objects.exists():
            self.stdout.write("No reference data is loaded yet: run manage.py load_reference.")
