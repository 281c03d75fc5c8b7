"""`manage.py sign_in_link USERNAME`: the way back in when no manager can help any more."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from fleet.management.handing_over import add_address, told
from fleet.operations.actor import server_actor
from fleet.operations.errors import Refused
from fleet.operations.people import reset_sign_in
from fleet.records.models import Person


class Command(BaseCommand):
    help = "End somebody's password and print a one-time link for choosing a new one."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username", help="the sign-in name")
        add_address(parser)

    def handle(self, *args: Any, **options: Any) -> None:
        now, actor = timezone.now(), server_actor("command")
        person = Person.objects.filter(username=options["username"].lower()).first()
        if person is None:
            raise CommandError(f"nobody signs in as {options['username']}")
        try:
            person = reset_sign_in(actor, person.pk, at=now).row
        except Refused as refusal:
            raise CommandError(str(refusal)) from refusal
        self.stdout.write(told(person, options["address"], now))
