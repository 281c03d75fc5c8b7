"""`manage.py add_person`: somebody else who signs in, with a password that is typed here."""

import getpass
import os
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.operations.actor import server_actor
from fleet.operations.errors import Refused
from fleet.operations.people import NewPerson, add_person
from fleet.operations.yards import NewYard, add_yard
from fleet.records.models import Role, Yard

ROLES = [role for role in Role.values if role != Role.SERVER]


class Command(BaseCommand):
    help = "Add somebody who signs in. The password is asked for, or taken from AXLEKEEP_PASSWORD."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username")
        parser.add_argument("--name", required=True)
        parser.add_argument("--role", choices=ROLES, default=Role.MANAGER.value)
        parser.add_argument("--yard", action="append", default=[], help="a yard's name; repeat it")
        parser.add_argument("--time-zone", default="UTC", help="of a yard that is new")
        parser.add_argument("--on-call", default="", help="number to call, of a yard that is new")
        parser.add_argument("--trained", action="store_true", help="may witness a second check")

    def handle(self, *args: Any, **options: Any) -> None:
        actor, now = server_actor("command"), timezone.now()
        password = os.environ.get("AXLEKEEP_PASSWORD") or getpass.getpass()
        try:
            yards = [self._yard(name, options) for name in options["yard"]]
            new = NewPerson(
                options["username"], options["name"], options["role"], password,
                tuple(yard.pk for yard in yards), not yards, options["trained"],
            )  # fmt: skip
            person = add_person(actor, new, at=now).row
        except Refused as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(f"{person.name} may sign in as {person.username}.")

    def _yard(self, name: str, options: dict[str, Any]) -> Yard:
        known = Yard.objects.filter(name=name).first()
        if known is not None:
            return known
        new = NewYard(name, options["time_zone"], options["on_call"])
        return add_yard(server_actor("command"), new, at=timezone.now()).row
