"""Who one is, and who else works in one's yards."""

from typing import Any

from django.db.models import Prefetch, QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door, Listed, Shown
from api.permissions import SIGNED_IN
from fleet.records.models import Person, Posting, Yard
from fleet.records.roles import ABILITIES


class PersonRef(serializers.ModelSerializer[Person]):
    """A person, as other records name them."""

    class Meta:
        model = Person
        fields = ["id", "name"]
        read_only_fields = fields


class PersonOut(serializers.ModelSerializer[Person]):
    """Sign-in names, addresses and telephone numbers are not given out here."""

    yards = serializers.SerializerMethodField(
        help_text="Yards posted to, of those the reader sees; all of them when all_yards is true."
    )

    class Meta:
        model = Person
        fields = ["id", "name", "role", "trained", "all_yards", "yards"]
        read_only_fields = fields

    def get_yards(self, person: Person) -> list[str]:
        return [posting.yard.slug for posting in person.postings.all()]


class MeOut(PersonOut):
    may = serializers.SerializerMethodField(help_text="The abilities of this role.")

    class Meta(PersonOut.Meta):
        fields = [*PersonOut.Meta.fields, "username", "email", "phone", "language", "units", "may"]
        read_only_fields = fields

    def get_may(self, person: Person) -> list[str]:
        return sorted(name for name in ABILITIES if person.may(name))


class YardOut(serializers.ModelSerializer[Yard]):
    class Meta:
        model = Yard
        fields = [
            "slug", "name", "time_zone", "on_call_number", "far", "bays", "working_days", "units",
        ]  # fmt: skip
        read_only_fields = fields


class Yards(Listed, Shown):
    """Yards that the reader is posted to. Monday is working day 0."""

    model = Yard
    serializer_class = YardOut
    ability = {"list": "view_vehicle", "retrieve": "view_vehicle"}
    lookup_field = "slug"


class _Postings(Door):
    """People with their postings, as far as the reader's own yards go."""

    model = Person

    def shown(self, rows: QuerySet[Person]) -> QuerySet[Person]:
        seen = Posting.visible_to(self.actor.person).select_related("yard").order_by("yard__slug")
        return rows.prefetch_related(Prefetch("postings", seen))


class People(_Postings, Listed, Shown):
    """Colleagues of the reader's own yards, and those who are posted to all."""

    serializer_class = PersonOut
    ability = {"list": "view_history", "retrieve": "view_history"}

    def shown(self, rows: QuerySet[Person]) -> QuerySet[Person]:
        return super().shown(rows.filter(is_active=True))


class Me(_Postings):
    """The signed-in person, with their yards and abilities."""

    gives = {"show": MeOut}
    ability = {"show": SIGNED_IN}

    def show(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Who the server takes the sender for, and what their role may do."""
        return self.shows(self.actor.person)
