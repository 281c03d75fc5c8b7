"""Photos from tablets: the file is the body, what it is of stands in headers."""

from collections.abc import Mapping
from typing import IO, Any
from urllib.parse import unquote

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter
from rest_framework import serializers, status
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.response import Response

from api.fields import MOST_WHOLE, Moment, Strict, Text
from api.permissions import BY_TABLET
from api.tablet_door import TabletDoor
from fleet.operations.photos import NewPhoto, Signed, corrected, take_photo
from fleet.records.models import Photo

MOST_MS = 10**15
NEEDED = {
    "uid": "UUIDv7, made on the tablet.",
    "person": "Who took it.",
    "key": "Which of their keys signed it.",
    "made_at": "When, by the tablet's clock, in UTC.",
    "vehicle": "Unit number, percent-encoded.",
    "mac": "HMAC-SHA-256 over uid, made_at, about, the hex SHA-256 of the body, vehicle and joint "
    "(empty where there is none), one a line; base64url without padding.",
}
MAY = {
    "offset_ms": "The server's clock less the tablet's, as it knew then.",
    "about": "A ticket's number, or the uid of a ticket, operation, inspection, finding or entry.",
    "joint": "Id of the joint.",
}


def header_of(name: str) -> str:
    """made_at is said in Photo-Made-At."""
    return f"Photo-{name.replace('_', '-').title()}"


HEADERS = [
    OpenApiParameter(header_of(name), OpenApiTypes.STR, OpenApiParameter.HEADER,
                     required=name in NEEDED, description=said)
    for name, said in (NEEDED | MAY).items()
]  # fmt: skip


class PhotoIn(Strict):
    """What the headers say."""

    uid = serializers.UUIDField()
    person = serializers.IntegerField(min_value=1, max_value=MOST_WHOLE)
    key = serializers.UUIDField()
    made_at = serializers.CharField(max_length=40)
    offset_ms = serializers.IntegerField(required=False, min_value=-MOST_MS, max_value=MOST_MS)
    vehicle = Text(max_length=40)
    about = Text(required=False, allow_blank=True, max_length=40)
    joint = serializers.IntegerField(required=False, min_value=1, max_value=MOST_WHOLE)
    mac = serializers.CharField(max_length=64)

    def validate_made_at(self, said: str) -> str:
        Moment().run_validation(said)
        return said


class PhotoOut(serializers.ModelSerializer[Photo]):
    class Meta:
        model = Photo
        fields = ["uid", "sha256", "size", "width", "height", "kind", "place_removed"]
        read_only_fields = fields


class Raw(BaseParser):
    """The body as it is, whatever picture it says to be: its own bytes are the judge."""

    media_type = "image/*"

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Mapping[str, bytes]:
        data: bytes = stream.read(settings.PHOTO_MAX_BYTES + 1)
        if len(data) > settings.PHOTO_MAX_BYTES:
            raise RequestDataTooBig
        return {"body": data}


class Photos(TabletDoor):
    """Photos, one at a time."""

    parser_classes = [Raw]
    ability = {"create": BY_TABLET}
    bodies = {"create": dict.fromkeys(Photo.Kind.values, OpenApiTypes.BINARY)}
    said_in_headers = {"create": HEADERS}
    gives = {"create": PhotoOut}

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Keep a photo: the file itself is the body. The same uid is answered again (200)."""
        said = self._headers(request)
        at = self.now
        made = Moment().run_validation(said["made_at"])
        moment = corrected(made, said.get("offset_ms"), at)
        new = NewPhoto(said["uid"], self._body(request), said["vehicle"], said.get("about", ""),
                       said.get("joint"), moment)  # fmt: skip
        signed = Signed(said["person"], said["key"], said["made_at"], said["mac"])
        done = take_photo(self.tablet, new, signed, at=at)
        code = status.HTTP_200_OK if done.replayed else status.HTTP_201_CREATED
        return Response(PhotoOut(done.row).data, code)

    def _headers(self, request: Request) -> dict[str, Any]:
        names = {name: request.headers.get(header_of(name)) for name in NEEDED | MAY}
        given = {name: said for name, said in names.items() if said is not None}
        if "vehicle" in given:
            given["vehicle"] = unquote(given["vehicle"])
        asked = PhotoIn(data=given)
        asked.is_valid(raise_exception=True)
        found: dict[str, Any] = asked.validated_data
        return found

    def _body(self, request: Request) -> bytes:
        """A length that is told and too long is not read at all."""
        if int(request.META.get("CONTENT_LENGTH") or 0) > settings.PHOTO_MAX_BYTES:
            raise RequestDataTooBig
        sent: Any = request.data
        found: bytes = sent.get("body", b"")
        return found
