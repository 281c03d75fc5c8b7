"""Every refusal of this door becomes problem details here; settings name `answer`."""

import logging
from collections.abc import Callable, Iterator
from typing import Any

from django.core.exceptions import PermissionDenied, RequestDataTooBig
from django.core.exceptions import ValidationError as InvalidRecord
from django.core.signals import got_request_exception
from django.db import IntegrityError, OperationalError
from django.http import Http404
from django.utils.translation import gettext as _
from rest_framework import exceptions, status
from rest_framework.response import Response
from rest_framework.views import set_rollback

from api.problems import MEDIA_TYPE, TYPES, ProblemType
from fleet.operations import errors as said
from fleet.operations.tablet_exchange import Busy
from fleet.reads.reckoning.answers import Unclear

log = logging.getLogger(__name__)

_BY_STATUS = {
    400: "not-valid", 401: "not-signed-in", 403: "not-allowed", 404: "not-there",
    405: "no-such-method", 406: "not-offered", 413: "too-large", 415: "not-json",
    428: "version-missing", 429: "too-many",
}  # fmt: skip
# The narrower kinds first: each of them is a Refused too.
_BY_REFUSAL: tuple[tuple[type[said.Refused], str], ...] = (
    (said.Conflict, "changed"),
    (said.Taken, "clash"),
    (said.NotAllowed, "not-allowed"),
    (said.NotThere, "not-there"),
    (said.KeyReused, "key-reused"),
    (said.Refused, "refused"),
)


# When something happened is called `at` in every body of this door.
_FIELDS_HERE = {"occurred_at": "at", "read_on": "at"}


class KeyMissing(exceptions.APIException):
    """No Idempotency-Key, or one that is no key."""

    status_code = status.HTTP_400_BAD_REQUEST
    default_code = "key-missing"


class VersionMissing(exceptions.APIException):
    """No If-Match on a change of something that has versions (RFC 6585, section 3)."""

    status_code = status.HTTP_428_PRECONDITION_REQUIRED
    default_code = "version-missing"


def answer(exc: Exception, context: dict[str, Any]) -> Response | None:
    """What DRF asks of EXCEPTION_HANDLER: a response for the exception."""
    set_rollback()
    request = context["request"]
    for known, say in _ANSWERS.items():
        if isinstance(exc, known):
            return say(exc, request.path)
    # The same signal and log line that Django gives for a page that fails.
    got_request_exception.send(sender=None, request=request)
    log.error("failed at %s", request.path, exc_info=exc)
    return problem(request.path, TYPES["failed"])


def problem(
    path: str,
    kind: ProblemType,
    detail: str = "",
    problems: list[dict[str, Any]] | None = None,
    headers: dict[str, str] | None = None,
) -> Response:
    """A response with problem details."""
    body = {
        "type": kind.address,
        "title": str(kind.title),
        "status": kind.status,
        "detail": detail or str(kind.meaning),
        "instance": path,
        "problems": problems or [],
    }
    return Response(body, kind.status, headers=headers, content_type=MEDIA_TYPE)


def _of_rules(exc: said.Refused, path: str) -> Response:
    kind = next(code for known, code in _BY_REFUSAL if isinstance(exc, known))
    return problem(path, TYPES[kind], str(exc), [_here(p) for p in exc.problems])


def _here(found: said.Problem) -> dict[str, Any]:
    """A problem with its field as this door calls it."""
    *path, last = found.field.split(".")
    return {**found.as_dict(), "field": ".".join([*path, _FIELDS_HERE.get(last, last)])}


def _of_reckoning(exc: Unclear, path: str) -> Response:
    """What a calculator can't read, each field with its example."""
    found = [
        said.Problem(one.code, one.message, field=one.field, hint=one.hint).as_dict()
        for one in exc.problems
    ]
    return problem(path, TYPES["refused"], str(exc), found)


def _of_lock(exc: OperationalError, path: str) -> Response:
    """Others were writing for longer than the database waits, or two waited for each other."""
    log.warning("the database gave up at %s", path, exc_info=exc)
    return problem(path, TYPES["busy"], headers={"Retry-After": "5"})


def _of_exchange(exc: Busy, path: str) -> Response:
    """A tablet's repeat has overtaken its first."""
    return problem(path, TYPES["busy"], headers={"Retry-After": "2"})


def _of_constraint(exc: IntegrityError, path: str) -> Response:
    log.warning("a constraint refused what came to %s", path, exc_info=exc)
    return problem(path, TYPES["clash"])


def _of_framework(exc: exceptions.APIException, path: str) -> Response:
    code = exc.default_code if exc.default_code in TYPES else _BY_STATUS.get(exc.status_code)
    kind = TYPES[code or "failed"]
    if isinstance(exc, exceptions.ValidationError):
        return problem(path, kind, _("See `problems` for each field."), list(flat(exc.detail)))
    return problem(path, kind, str(exc.detail), headers=_headers(exc))


def _of_record(exc: InvalidRecord, path: str) -> Response:
    """What a record's own validators say of its columns."""
    by_field = exc.message_dict if hasattr(exc, "error_dict") else {"": exc.messages}
    found = [
        said.Problem("invalid", message, field="" if name == "__all__" else name).as_dict()
        for name, messages in by_field.items()
        for message in messages
    ]
    return problem(path, TYPES["refused"], _("See `problems` for each field."), found)


def _headers(exc: exceptions.APIException) -> dict[str, str]:
    """What DRF's own handler adds: how to sign in, how long to wait."""
    headers = {}
    if auth := getattr(exc, "auth_header", None):
        headers["WWW-Authenticate"] = str(auth)
    if wait := getattr(exc, "wait", None):
        headers["Retry-After"] = str(int(wait))
    return headers


def flat(detail: Any, path: str = "") -> Iterator[dict[str, Any]]:
    """DRF's nested errors, one row each with the path of the field: 'findings.3.play'."""
    if isinstance(detail, dict):
        for key, inner in detail.items():
            name = "" if key == "non_field_errors" else str(key)
            yield from flat(inner, ".".join(filter(None, [path, name])))
    elif isinstance(detail, list):
        for index, inner in enumerate(detail):
            deeper = isinstance(inner, dict | list)
            yield from flat(inner, ".".join(filter(None, [path, str(index)])) if deeper else path)
    else:
        code = getattr(detail, "code", "invalid")
        yield said.Problem(code, str(detail), field=path).as_dict()


_ANSWERS: dict[type[Exception], Callable[[Any, str], Response]] = {
    said.Refused: _of_rules,
    Unclear: _of_reckoning,
    Http404: lambda exc, path: _of_framework(exceptions.NotFound(), path),
    PermissionDenied: lambda exc, path: _of_framework(exceptions.PermissionDenied(), path),
    RequestDataTooBig: lambda exc, path: problem(path, TYPES["too-large"]),
    InvalidRecord: _of_record,
    IntegrityError: _of_constraint,
    OperationalError: _of_lock,
    Busy: _of_exchange,
    exceptions.APIException: _of_framework,
}
