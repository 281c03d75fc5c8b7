"""Versions over HTTP: strong ETags, If-Match on changes, If-None-Match on reads (RFC 9110)."""

import re
from typing import Any

from django.utils.translation import gettext as _
from rest_framework import exceptions
from rest_framework.request import Request

from api.errors import VersionMissing

_STRONG = re.compile(r'"(0|[1-9][0-9]{0,9})"')
_ANY_TAG = re.compile(r'(?:W/)?("[\x21\x23-\x7e\x80-\xff]*")')


def etag_of(row: Any) -> str:
    """The strong ETag of a row with a version: its integer in quotes."""
    return f'"{row.version}"'


def expected_version(request: Request) -> int:
    """The version that the client says it changes; the operation compares it under its lock."""
    said = request.headers.get("If-Match", "").strip()
    if not said:
        raise VersionMissing(
            _("Send If-Match with the ETag of what you read, so that no other change is lost.")
        )
    if not (match := _STRONG.fullmatch(said)):
        raise exceptions.ParseError(
            _('If-Match takes one strong ETag as this door gave it, like "7".')
        )
    return int(match[1])


def is_known(request: Request, etag: str) -> bool:
    """Whether If-None-Match names what the client would get; weak comparison, as for any GET."""
    said = request.headers.get("If-None-Match", "").strip()
    return said == "*" or etag in _ANY_TAG.findall(said)
