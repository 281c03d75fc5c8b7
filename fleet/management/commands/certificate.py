"""`manage.py certificate ADDRESS …`: https for tablets on a shop's own network."""

from argparse import ArgumentParser
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from fleet.management import certificates


class Command(BaseCommand):
    help = "Make an authority of your own and a certificate for this machine's addresses."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "addresses", nargs="+", metavar="ADDRESS",
            help="each name or number by which tablets reach this machine: shop.lan 192.168.1.20",
        )  # fmt: skip

    def handle(self, *args: Any, **options: Any) -> None:
        addresses = list(options["addresses"])
        try:
            found, new = certificates.make(settings.DATA_DIR / "tls", addresses)
        except certificates.NotMade as said:
            raise CommandError(str(said)) from said
        first = "Install this on each tablet, as an authority (CA) that it trusts"
        again = "The authority is the one from before; tablets need nothing"
        self.stdout.write(f"{first if new else again}:\n  {found.authority}\n")
        self.stdout.write(
            f"Serve with it for {certificates.SERVER_DAYS} days, then run this again:\n"
        )
        self.stdout.write(
            f"  AXLEKEEP_HOSTS={','.join(addresses)} gunicorn fleet.wsgi --bind 0.0.0.0:8443 \\\n"
            f"    --threads 4 --certfile {found.server} --keyfile {found.server_key}\n"
        )
