"""Addresses of this site as others see them: on paper, in a calendar, in a letter."""

from django.conf import settings


def address(path: str, asked: str = "") -> str:
    """The whole address of a path: by the configured public address, else as it was asked for.

    Empty where neither is known.
    """
    return f"{settings.PUBLIC_ADDRESS}{path}" if settings.PUBLIC_ADDRESS else asked
