"""People: who works here, in which role and yards; taken on, changed, let go, taken back."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from fleet.operations import people as verbs
from fleet.operations.sign_in import LASTS, token_for
from fleet.reads import people as reads
from fleet.records.models import Person
from fleet.web.doors import in_scope, needs, page_of, reader, yards
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent
from fleet.web.meter import ReasonForm
from fleet.web.person_forms import NewPersonForm, PersonForm

# Told once to whoever made it, and then known to nobody but its person.
ONCE = "one-time-link"


@needs("edit_people")
def people_list(request: HttpRequest) -> HttpResponse:
    left = "left" in request.GET
    rows = reads.people(reader(request)).filter(is_active=not left)
    mine = yards(request)
    context = {"page": page_of(request, rows), "left": left, "crews": reads.crews(mine)}
    return render(request, "people/list.html", context)


@needs("edit_people")
@never_cache
def person_page(request: HttpRequest, person_id: int) -> HttpResponse:
    person = _person(request, person_id)
    told = request.session.pop(ONCE, None)
    link = told["link"] if told and told["person"] == person.pk else ""
    context = {"person": person, "link": link, "days": LASTS.days}
    return render(request, "people/page.html", context)


@needs("edit_people")
def person_new(request: HttpRequest) -> HttpResponse:
    boss = reader(request)
    form = NewPersonForm(sent(request), yards(request), may_all=boss.all_yards)
    sheet = Sheet(
        title=_("New person"),
        button=_("Take them on"),
        back=reverse("people"),
        back_text=_("People"),
        template="people/form.html",
    )

    def verb(ask: Ask) -> Any:
        return verbs.add_person(ask.actor, form.new(), at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _link_told(request))


@needs("edit_people")
def person_change(request: HttpRequest, person_id: int) -> HttpResponse:
    person = _person(request, person_id)
    stands = {name: getattr(person, name) for name in ("name", "role", "trained", "phone")}
    stands |= {"all_yards": person.all_yards, "yard_ids": _posted(person)}
    form = PersonForm(
        sent(request), yards(request), may_all=reader(request).all_yards,
        version=person.version, initial=stands,
    )  # fmt: skip
    title = _("Change %(name)s") % {"name": person.name}
    sheet = _sheet(person, title, _("Keep"), said=_("Kept."), template="people/form.html")

    def verb(ask: Ask) -> Any:
        version = form.cleaned_data["version"]
        return verbs.change_person(
            ask.actor, person.pk, form.facts(), at=ask.at, expected_version=version,
            request=ask.request,
        )  # fmt: skip

    return form_page(request, form, sheet, verb, _page)


@needs("edit_people")
def person_let_go(request: HttpRequest, person_id: int) -> HttpResponse:
    person = _person(request, person_id)
    form = ReasonForm(sent(request), version=person.version)
    said = _("They sign in no more. What they recorded stays under their name.")
    title = _("%(name)s leaves") % {"name": person.name}
    note = _("Their sign-in ends now, on every device. What they recorded stays under their name.")
    sheet = _sheet(person, title, _("End the sign-in"), said=said, grave=True, note=note)

    def verb(ask: Ask) -> Any:
        typed = form.cleaned_data
        return verbs.let_person_go(
            ask.actor, person.pk, typed["reason"], at=ask.at, expected_version=typed["version"],
            request=ask.request,
        )  # fmt: skip

    return form_page(request, form, sheet, verb, _page)


@needs("edit_people")
def person_take_back(request: HttpRequest, person_id: int) -> HttpResponse:
    person = _person(request, person_id)
    title = _("%(name)s works here again") % {"name": person.name}
    note = _("With the role and yards they had. A new one-time link lets them choose a password.")
    sheet = _sheet(person, title, _("Take them back"), note=note)
    return _with_new_link(request, person, sheet, verbs.take_person_back)


@needs("edit_people")
def person_link(request: HttpRequest, person_id: int) -> HttpResponse:
    person = _person(request, person_id)
    title = _("New sign-in link for %(name)s") % {"name": person.name}
    sheet = _sheet(
        person, title, _("Make the link"), grave=person.has_usable_password(),
        template="people/link.html",
    )  # fmt: skip
    return _with_new_link(request, person, sheet, verbs.reset_sign_in)


def _with_new_link(
    request: HttpRequest, person: Person, sheet: Sheet, make: Callable[..., Any]
) -> HttpResponse:
    form = ActForm(sent(request))

    def verb(ask: Ask) -> Any:
        return make(ask.actor, person.pk, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _link_told(request))


def _link_told(request: HttpRequest) -> Callable[[Person], str]:
    """To the person's page, where the link is shown this once."""

    def then(person: Person) -> str:
        token = token_for(person, timezone.now() + LASTS)
        if token:
            link = request.build_absolute_uri(reverse("welcome", args=[token]))
            request.session[ONCE] = {"person": person.pk, "link": link}
        return _page(person)

    return then


def _person(request: HttpRequest, person_id: int) -> Person:
    return in_scope(reads.people(reader(request)), pk=person_id)


def _posted(person: Person) -> list[int]:
    return [posting.yard_id for posting in person.postings.all()]


def _page(person: Person) -> str:
    return reverse("person", args=[person.pk])


def _sheet(person: Person, title: str, button: str, **more: Any) -> Sheet:
    return Sheet(title=title, button=button, back=_page(person), back_text=person.name, **more)
