"""Who one is, and who else works in one's yards."""

from dataclasses import replace
from typing import Any

from django.db.models import Prefetch, QuerySet
from django.urls import reverse
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door, Listed, Shown
from api.examples import PERSON, PERSON_CHANGE, REASON
from api.fields import Flag, InScope, Strict, Text
from api.permissions import SIGNED_IN
from fleet.operations import people as verbs
from fleet.operations.people import NewPerson
from fleet.operations.person_rules import facts_of
from fleet.operations.sign_in import LASTS, token_for
from fleet.records.models import Person, Posting, Role, Yard
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


class PersonFactsIn(Strict):
    """What may be changed of a person; the sign-in name stays."""

    name = Text(max_length=120)
    role = serializers.ChoiceField(choices=Role.choices, help_text="Never that of the server.")
    yards = serializers.ListField(
        child=InScope(Yard, "slug"), required=False, help_text="Slugs of the yards posted to."
    )
    all_yards = Flag(required=False)
    trained = Flag(required=False)
    phone = Text(required=False, allow_blank=True, max_length=40)


class PersonIn(PersonFactsIn):
    username = Text(max_length=60, help_text="Letters, figures, dots and dashes.")


class WhyIn(Strict):
    reason = Text(max_length=200)


class LinkOut(serializers.Serializer[Any]):
    """Handed to its person and to nobody else; it works once."""

    link = serializers.URLField(
        allow_null=True, help_text="Null where the person has chosen a password by now."
    )
    until = serializers.DateTimeField(help_text="When it works no more.")


class _Postings(Door):
    """People with their postings, as far as the reader's own yards go."""

    model = Person

    def shown(self, rows: QuerySet[Person]) -> QuerySet[Person]:
        seen = Posting.visible_to(self.actor.person).select_related("yard").order_by("yard__slug")
        return rows.prefetch_related(Prefetch("postings", seen))


class People(_Postings, Listed, Shown):
    """Colleagues of the reader's own yards, and those who are posted to all."""

    serializer_class = PersonOut
    ability = {
        "list": "view_history",
        "retrieve": "view_history",
        "create": "edit_people",
        "partial_update": "edit_people",
        "let_go": "edit_people",
        "take_back": "edit_people",
        "sign_in_link": "edit_people",
    }
    keyed = frozenset({"create", "let_go", "take_back", "sign_in_link"})
    matched = frozenset({"partial_update"})
    takes = {"create": PersonIn, "partial_update": PersonFactsIn, "let_go": WhyIn,
             "take_back": Strict, "sign_in_link": Strict}  # fmt: skip
    gives = {"sign_in_link": LinkOut}
    codes = {"let_go": 200, "take_back": 200}
    examples = {"create": PERSON, "partial_update": PERSON_CHANGE, "let_go": REASON}

    def shown(self, rows: QuerySet[Person]) -> QuerySet[Person]:
        here = rows.filter(is_active=True) if self.action in ("list", "retrieve") else rows
        return super().shown(here)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Take somebody on. They choose their password by a link: POST to sign-in-link/."""
        said = self.said()
        new = NewPerson(said.pop("username"), yard_ids=_posted(said), **said)
        return self.made(verbs.add_person(self.actor, new, at=self.now, request=self.key))

    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change role, yards, training, name or telephone; a yard left out ends that posting."""
        person, said = self.get_object(), self.said(partial=True)
        if "yards" in said:
            said["yard_ids"] = _posted(said)
        facts = replace(facts_of(person), **said)
        done = verbs.change_person(
            self.actor, person.pk, facts, at=self.now, expected_version=self.expected
        )
        return self.done(done)

    def let_go(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """End somebody's sign-in and tokens. What they recorded stays under their name."""
        person, why = self.get_object(), self.said()["reason"]
        done = verbs.let_person_go(self.actor, person.pk, why, at=self.now, request=self.key)
        return self.done(done)

    def take_back(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Somebody who had left works here again."""
        person = self.get_object()
        return self.done(
            verbs.take_person_back(self.actor, person.pk, at=self.now, request=self.key)
        )

    def sign_in_link(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """End the password and tokens they have, and make a one-time link to choose another."""
        person = self.get_object()
        row = verbs.reset_sign_in(self.actor, person.pk, at=self.now, request=self.key).row
        until = self.now + LASTS
        token = token_for(row, until)
        link = request.build_absolute_uri(reverse("welcome", args=[token])) if token else None
        return Response(LinkOut({"link": link, "until": until}).data, status.HTTP_201_CREATED)


def _posted(said: dict[str, Any]) -> tuple[int, ...]:
    return tuple(yard.pk for yard in said.pop("yards", ()))


class Me(_Postings):
    """The signed-in person, with their yards and abilities."""

    gives = {"show": MeOut}
    ability = {"show": SIGNED_IN}

    def show(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Who the server takes the sender for, and what their role may do."""
        return self.shows(self.actor.person)
