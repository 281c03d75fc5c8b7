"""A one-time link told on the server's own screen, where no stranger reads it."""

from argparse import ArgumentParser
from datetime import datetime

from django.urls import reverse

from fleet.operations.sign_in import FIRST_LASTS, token_for
from fleet.records.models import Person

HERE = "http://127.0.0.1:8000"


def add_address(parser: ArgumentParser) -> None:
    parser.add_argument(
        "--address", default=HERE, help=f"where the site is reached; else {HERE}"
    )  # fmt: skip


def told(person: Person, address: str, at: datetime) -> str:
    """What to open, and until when it works."""
    link = address.rstrip("/") + reverse("welcome", args=[token_for(person, at + FIRST_LASTS)])
    return (
        f"{person.name} signs in as {person.username}.\n"
        f"Open this link within an hour to choose the password. It works once:\n\n  {link}\n"
    )
