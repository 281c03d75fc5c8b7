"""OpenAPI as this door really answers: problem details, request keys and versions included."""

from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiExample, OpenApiParameter, OpenApiResponse
from rest_framework import status

from api.problems import MEDIA_TYPE, TYPES, ProblemOut

_KEY = OpenApiParameter(
    "Idempotency-Key", OpenApiTypes.STR, OpenApiParameter.HEADER, required=True,
    description="A new key for each new request, the same one when it is sent again.",
    examples=[OpenApiExample("a key", '"0197a3c2-5b1e-7c44-9f0a-2f6b1c0d9e11"')],
)  # fmt: skip
_MATCH = OpenApiParameter(
    "If-Match", OpenApiTypes.STR, OpenApiParameter.HEADER, required=True,
    description="The ETag of what was read, so that no other change is lost.",
    examples=[OpenApiExample("a version", '"7"')],
)  # fmt: skip
_MAY_MATCH = OpenApiParameter(
    "If-Match", OpenApiTypes.STR, OpenApiParameter.HEADER,
    description="The ticket's ETag, where the client wants no other change in between.",
)  # fmt: skip
_NONE_MATCH = OpenApiParameter(
    "If-None-Match", OpenApiTypes.STR, OpenApiParameter.HEADER,
    description="The ETag of what the client has; 304 when it is still current.",
)  # fmt: skip
_REPLAYED = OpenApiParameter(
    "Idempotency-Replayed", OpenApiTypes.STR, OpenApiParameter.HEADER,
    response=[200, 201], enum=["true"], description="There when it had been done before.",
)  # fmt: skip
_ETAG = OpenApiParameter(
    "ETag", OpenApiTypes.STR, OpenApiParameter.HEADER, response=[200, 201],
    description="Strong, from the integer version.",
)  # fmt: skip


class HouseSchema(AutoSchema):
    """Reads what the view says of each action: `takes`, `gives`, `keyed`, `matched`."""

    @property
    def _action(self) -> str:
        return str(getattr(self.view, "action", None) or self.method.lower())

    def _of_view(self, name: str, otherwise: Any) -> Any:
        return getattr(self.view, name, otherwise)

    @property
    def _has_version(self) -> bool:
        model = getattr(self.view, "model", None)
        return any(field.name == "version" for field in model._meta.fields) if model else False

    @property
    def _asks(self) -> bool:
        return self._action in self._of_view("asks", {})

    def get_override_parameters(self) -> list[Any]:
        found = []
        if self._action in self._of_view("keyed", ()):
            found += [_KEY, _REPLAYED]
        if self._action in self._of_view("matched", ()):
            found += [_MATCH]
        if self._action in self._of_view("may_match", ()):
            found += [_MAY_MATCH]
        found += self._of_view("said_in_headers", {}).get(self._action, [])
        if self._asks:
            found += [self._of_view("asks", {})[self._action]]
        if self._has_version and self._action != "list":
            found += [_ETAG, _NONE_MATCH] if self._action == "retrieve" else [_ETAG]
        return found

    def get_request_serializer(self) -> Any:
        bodies = self._of_view("bodies", {}).get(self._action)
        return bodies or self._of_view("takes", {}).get(self._action)

    def get_response_serializers(self) -> Any:
        usual = self._of_view("serializer_class", None)
        good = self._of_view("gives", {}).get(self._action, usual)
        code = self._of_view("codes", {}).get(self._action) or self._usual_code()
        answers: dict[Any, Any] = {(code, "application/json"): good}
        if code == status.HTTP_204_NO_CONTENT:
            answers = {204: OpenApiResponse(description="Done; nothing to show.")}
        if self._has_version and self._action == "retrieve":
            answers[304] = OpenApiResponse(description="What the client has is current.")
        for wrong, kinds in self._problems().items():
            answers[wrong, MEDIA_TYPE] = _problem_response(kinds)
        return answers

    def _usual_code(self) -> int:
        if self.method == "DELETE":
            return 204
        return 201 if self.method == "POST" else 200

    def _problems(self) -> dict[int, list[str]]:
        """The kinds of problem that this action may answer with, by status."""
        kinds = ["not-valid", "not-signed-in", "not-allowed", "not-offered", "failed", "busy"]
        writes = self.method in ("POST", "PATCH")
        keyed = self._action in self._of_view("keyed", ())
        must_match = self._action in self._of_view("matched", ())
        matched = must_match or self._action in self._of_view("may_match", ())
        kinds += ["refused", "not-json", "too-large"] if writes else []
        kinds += ["clash"] if writes and self._of_view("records", True) else []
        kinds += ["refused"] if self._asks else []
        kinds += ["not-there"] if "{" in self.path else []
        kinds += ["key-missing", "key-reused"] if keyed else []
        kinds += ["version-missing"] if must_match else []
        kinds += ["changed"] if matched else []
        kinds += ["too-many"] if self._of_view("throttle_scope", None) else []
        found: dict[int, list[str]] = {}
        for kind in kinds:
            found.setdefault(TYPES[kind].status, []).append(kind)
        return found

    def get_examples(self) -> list[OpenApiExample]:
        return list(self._of_view("examples", {}).get(self._action, []))

    def get_operation_id(self) -> str:
        """Noun and verb as the routes name them, so that client generators read well."""
        words = [token.replace("-", "_") for token in self._tokenize_path()]
        verb = {"create": "add", "partial_update": "change"}.get(self._action, self._action)
        return "_".join(words if words[-1] == verb else [*words, verb])


def _problem_response(kinds: list[str]) -> OpenApiResponse:
    examples = [
        OpenApiExample(
            kind,
            {
                "type": TYPES[kind].address,
                "title": str(TYPES[kind].title),
                "status": TYPES[kind].status,
                "detail": str(TYPES[kind].meaning),
                "instance": "/api/v1/...",
                "problems": [],
            },
            response_only=True,
        )
        for kind in kinds
    ]
    description = " or ".join(str(TYPES[kind].title) for kind in kinds)
    return OpenApiResponse(ProblemOut, description, examples)
