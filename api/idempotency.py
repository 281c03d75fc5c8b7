"""The Idempotency-Key header: a POST that records something is done once for each key.

After draft-ietf-httpapi-idempotency-key-header-07 (expired; never an RFC): the key is a quoted
structured-field string. A bare token is taken too, since many clients send one. The key and the
hash of the body are stored inside the operation's own transaction (fleet/operations/once.py).
"""

import hashlib
import json
import re

from django.utils.translation import gettext as _
from rest_framework.request import Request as HttpRequest

from api.errors import KeyMissing
from fleet.operations.once import Request

MAX_KEY = 128
_QUOTED = re.compile(r'"((?:[\x20\x21\x23-\x5b\x5d-\x7e]|\\["\\])+)"')
_BARE = re.compile(r"[!#$%&'*+.^_`|~0-9A-Za-z:/-]+")


def request_key(request: HttpRequest) -> Request:
    """The client's key with the hash of what it asks. Raises KeyMissing."""
    return Request(_key(request.headers.get("Idempotency-Key", "").strip()), _hash(request))


def _key(said: str) -> str:
    if not said:
        raise KeyMissing(_("Send an Idempotency-Key header: a new one for each new request."))
    if match := _QUOTED.fullmatch(said):
        key = re.sub(r'\\(["\\])', r"\1", match[1])
    elif _BARE.fullmatch(said):
        key = said
    else:
        raise KeyMissing(_("The Idempotency-Key is a quoted string of plain characters."))
    if len(key) > MAX_KEY:
        raise KeyMissing(
            _("The Idempotency-Key is longer than %(most)d characters.") % {"most": MAX_KEY}
        )
    return key


def _hash(request: HttpRequest) -> str:
    """Of the address and the parsed body, so that spaces and the order of fields don't matter."""
    asked = json.dumps([request.path, request.data], sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(asked.encode()).hexdigest()
