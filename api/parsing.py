"""Reading JSON strictly: what can't be kept as it was sent is refused, never bent."""

import json
import math
import re
from collections.abc import Mapping
from typing import IO, Any, NoReturn

from django.utils.translation import gettext as _
from rest_framework.exceptions import ParseError
from rest_framework.parsers import JSONParser

# NUL and halves of surrogate pairs.
_NO_TEXT = re.compile("[\x00\ud800-\udfff]")


class StrictJSON(JSONParser):
    """JSON without NaN, Infinity, figures past a float, doubled names, NULs or lone surrogates."""

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        text = _read(stream)
        try:
            return json.loads(
                text,
                parse_constant=_refuse_constant,
                parse_float=_finite,
                object_pairs_hook=_each_name_once,
            )
        except (ValueError, RecursionError) as error:
            raise ParseError(_("This is not JSON: %(why)s") % {"why": error}) from None


def _read(stream: IO[Any]) -> str:
    body: bytes = stream.read()
    try:
        return body.decode("utf-8")
    except UnicodeDecodeError:
        raise ParseError(_("JSON is sent in UTF-8.")) from None


def _refuse_constant(name: str) -> NoReturn:
    raise ValueError(_("%(name)s is no figure.") % {"name": name})


def _finite(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(_("%(text)s is too large a figure.") % {"text": text[:40]})
    return value


def _each_name_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Objects as dicts; text that no database keeps is refused here, for every field at once."""
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise ValueError(_("the name %(name)r stands twice.") % {"name": name[:40]})
        if not _storable([name, value]):
            raise ValueError(_("%(name)r holds a character that is no text.") % {"name": name[:40]})
        found[name] = value
    return found


def _storable(value: Any) -> bool:
    """Objects inside were looked at when they were read; lists were not."""
    if isinstance(value, list):
        return all(map(_storable, value))
    if not isinstance(value, str):
        return True
    return _NO_TEXT.search(value) is None
