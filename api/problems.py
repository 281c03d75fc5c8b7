"""Problem details (RFC 9457): the one shape in which this door says what went wrong."""

from dataclasses import dataclass
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from rest_framework import serializers

MEDIA_TYPE = "application/problem+json"
TYPES_PATH = "/api/v1/problems/"


@dataclass(frozen=True)
class ProblemType:
    """A kind of problem: its name in the `type` address, its status, and what it means."""

    code: str
    status: int
    title: str | Promise
    meaning: str | Promise

    @property
    def address(self) -> str:
        """The `type` of RFC 9457; reading it gives this kind's meaning."""
        return f"{TYPES_PATH}{self.code}/"


_ALL = (
    ProblemType("not-valid", 400, _("Not valid"), _(
        "The request can't be read, or a field of it is missing, unknown or of the wrong kind.")),
    ProblemType("key-missing", 400, _("Request key missing"), _(
        "A POST that records something carries an Idempotency-Key header, so that it can be "
        "sent again after a cut line and is still done once.")),
    ProblemType("not-signed-in", 401, _("Not signed in"), _(
        "Send a token in the Authorization header, or sign in.")),
    ProblemType("not-allowed", 403, _("Not allowed"), _("Your role may not do this.")),
    ProblemType("not-there", 404, _("Not there"), _(
        "There is no such thing at this address within your yards.")),
    ProblemType("no-such-method", 405, _("No such method here"), _(
        "This address does not know the method.")),
    ProblemType("not-offered", 406, _("Format not offered"), _("This door answers in JSON.")),
    ProblemType("clash", 409, _("Clash"), _(
        "The same thing stands already (its `uid`, or its name), or came at the same moment. "
        "Nothing was written.")),
    ProblemType("changed", 412, _("Changed by somebody else"), _(
        "The version named in If-Match is no longer the current one. Read it again.")),
    ProblemType("too-large", 413, _("Too large"), _("The body is larger than this door reads.")),
    ProblemType("not-json", 415, _("Not JSON"), _("Send application/json.")),
    ProblemType("refused", 422, _("Refused by the rules"), _(
        "The request can be read, but the rules of the work refuse it. `problems` names each "
        "line, joint and figure. Nothing was written.")),
    ProblemType("key-reused", 422, _("Request key used before"), _(
        "The same Idempotency-Key came with another body or for another address.")),
    ProblemType("version-missing", 428, _("Version missing"), _(
        "Changes name the version they were made from, in an If-Match header.")),
    ProblemType("too-many", 429, _("Too many requests"), _("Wait, then send again.")),
    ProblemType("failed", 500, _("Something failed here"), _(
        "The fault is the server's and was written to its log. Nothing was half-written.")),
    ProblemType("busy", 503, _("Busy"), _(
        "Others were writing for too long. Nothing was written; send it again.")),
)  # fmt: skip
TYPES: dict[str, ProblemType] = {kind.code: kind for kind in _ALL}


class ProblemItemOut(serializers.Serializer[Any]):
    """One thing wrong: where it is, and what to do instead."""

    code = serializers.CharField(help_text="Stable name of what is wrong.")
    message = serializers.CharField(help_text="In the reader's language.")
    field = serializers.CharField(help_text="Path of the field: 'findings.3.play'.")
    line = serializers.CharField(help_text="The ticket line, in words.")
    line_id = serializers.IntegerField(allow_null=True)
    joint = serializers.CharField(help_text="The joint, in words.")
    hint = serializers.CharField(help_text="What to send or to do instead.")


class ProblemOut(serializers.Serializer[Any]):
    """Problem details of RFC 9457, with `problems` as our extension member."""

    type = serializers.CharField(help_text="Address of the kind of problem.")
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    instance = serializers.CharField(help_text="The address that was asked for.")
    problems = ProblemItemOut(many=True)


class ProblemTypeOut(serializers.Serializer[ProblemType]):
    """What a kind of problem means."""

    type = serializers.CharField(source="address")
    title = serializers.CharField()
    status = serializers.IntegerField()
    meaning = serializers.CharField()
