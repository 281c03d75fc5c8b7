"""Tablets: enrolled by a code, given keys for people, and what they carry away."""

import gzip
import hashlib
import json
from base64 import b64encode
from collections.abc import Sequence
from typing import Any

from django.contrib.auth import authenticate
from django.http import HttpResponse
from django.utils.decorators import method_decorator
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables
from rest_framework import serializers, status
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response

from api.etags import is_known
from api.fields import Strict, Text
from api.people import PersonRef
from api.permissions import BY_TABLET
from api.tablet_door import TabletDoor
from api.tablet_examples import ENROL, SIGN_ON
from fleet.operations.actor import Actor
from fleet.operations.carried import pack_of, rules_of
from fleet.operations.tablets import enrol_tablet, hand_key
from fleet.records.models import Person, TabletKey


class EnrolIn(Strict):
    code = Text(max_length=20)


class EnrolOut(serializers.Serializer[Any]):
    tablet = serializers.UUIDField(source="tablet.uid")
    name = serializers.CharField(source="tablet.name")
    yard = serializers.SlugField(source="tablet.yard.slug")
    yard_name = serializers.CharField(source="tablet.yard.name")
    token = serializers.CharField(help_text="Told once. Send it as 'Authorization: Tablet ...'.")


class Enrol(TabletDoor):
    """The way in for a tablet."""

    throttle_scope = "tablet"
    ability = {"create": BY_TABLET}
    takes = {"create": EnrolIn}
    examples = {"create": ENROL}
    gives = {"create": EnrolOut}

    def get_authenticators(self) -> list[BaseAuthentication]:
        return []

    def get_permissions(self) -> Sequence[Any]:
        return [AllowAny()]

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Use up a manager's code: this tablet is one of the fleet's from now on."""
        enrolled = enrol_tablet(self.said()["code"], at=self.now)
        return Response(EnrolOut(enrolled).data, status.HTTP_201_CREATED)


class KeyIn(Strict):
    username = Text(max_length=60)
    password = Text(max_length=128, trim_whitespace=False, style={"input_type": "password"})


class OnTabletPerson(PersonRef):
    class Meta(PersonRef.Meta):
        fields = ["id", "username", "name", "role", "language", "units", "trained"]
        read_only_fields = fields


class KeyOut(serializers.ModelSerializer[TabletKey]):
    person = OnTabletPerson(read_only=True)
    key_id = serializers.UUIDField(source="uid", read_only=True)
    key = serializers.SerializerMethodField(help_text="32 bytes, base64: signs operations.")
    data_key = serializers.SerializerMethodField(help_text="32 bytes, base64: seals the tablet.")

    class Meta:
        model = TabletKey
        fields = ["person", "key_id", "key", "data_key"]
        read_only_fields = fields

    def get_key(self, row: TabletKey) -> str:
        return b64encode(bytes(row.secret)).decode()

    def get_data_key(self, row: TabletKey) -> str:
        return b64encode(bytes(row.tablet.data_key)).decode()


class TabletPeople(TabletDoor):
    """The people who sign on a tablet."""

    throttle_scope = "tablet"
    ability = {"create": BY_TABLET}
    takes = {"create": KeyIn}
    examples = {"create": SIGN_ON}
    gives = {"create": KeyOut}

    @method_decorator(sensitive_variables("said"))
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """A key for one person on this tablet, for their sign-in name and password.

        It stands for them as a technician, whatever their role is elsewhere.
        """
        said = self.said()
        person = authenticate(request._request, **said)
        if not isinstance(person, Person):
            raise AuthenticationFailed(_("No such sign-in name, or another password."))
        done = hand_key(Actor(person, "tablet", self.tablet), at=self.now)
        return Response(KeyOut(done.row).data, status.HTTP_201_CREATED)


class PackOut(serializers.Serializer[Any]):
    """The yard's work as data; DEVELOPERS.md tells of each part."""

    made_at = serializers.DateTimeField()
    today = serializers.DateField(help_text="At the yard.")
    tablet = serializers.DictField()
    yard = serializers.DictField()
    left_out = serializers.IntegerField(help_text="Vehicles that found no room.")
    people = serializers.ListField(child=serializers.DictField())
    tools = serializers.ListField(child=serializers.DictField())
    vehicles = serializers.ListField(child=serializers.DictField())
    drawings = serializers.DictField()


class RulesOut(serializers.Serializer[Any]):
    """The fleet's rules as they stand, by key, with the version of each."""

    actions = serializers.DictField()
    findings = serializers.DictField()
    methods = serializers.DictField()
    responses = serializers.DictField()
    settings = serializers.DictField()
    complaints = serializers.DictField()
    kinds = serializers.DictField()


class Carried(TabletDoor):
    """What a tablet carries away: its yard's work, and the rules."""

    ability = {"pack": BY_TABLET, "rules": BY_TABLET}
    gives = {"pack": PackOut, "rules": RulesOut}

    def pack(self, request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        """Today's work of the tablet's yard: vehicles, joints, tickets, tools, people."""
        return self._whole(pack_of(self.tablet, self.now))

    def rules(self, request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        """The rules as data: what each work must record, what each finding calls for."""
        return self._whole(rules_of())

    def _whole(self, content: dict[str, Any]) -> HttpResponse:
        """JSON with a tag of its content, packed small: this one goes over poor networks."""
        moments = {name: content[name] for name in content if name != "made_at"}
        digest = hashlib.sha256(_json(moments)).hexdigest()[:32]
        headers = {"ETag": f'"{digest}"', "Cache-Control": "private, no-cache",
                   "Vary": "Authorization, Accept-Encoding"}  # fmt: skip
        if is_known(self.request, headers["ETag"]):
            return HttpResponse(status=status.HTTP_304_NOT_MODIFIED, headers=headers)
        body = _json(content)
        if "gzip" in self.request.headers.get("Accept-Encoding", ""):
            body = gzip.compress(body, 6, mtime=0)
            headers["Content-Encoding"] = "gzip"
        return HttpResponse(body, content_type="application/json", headers=headers)


def _json(content: dict[str, Any]) -> bytes:
    return json.dumps(content, separators=(",", ":"), ensure_ascii=False).encode()
