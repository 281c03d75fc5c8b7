"""Adaptive intervals: the list, one cell's page with its decision, and what the fleet wants."""

from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.operations.interval_aims import NewAims, set_aims
from fleet.operations.intervals import (
    BY_COST,
    BY_RECORD,
    Decision,
    accept_interval,
    decline_interval,
    take_interval_back,
)
from fleet.operations.work import Done
from fleet.reads.filters import IntervalFilter
from fleet.reads.intervals.aims import aims_now
from fleet.reads.intervals.page import IntervalStory, interval_story
from fleet.reads.intervals.rows import accepted_stands, interval_rows, proposals
from fleet.records.models import IntervalProposal
from fleet.web.doors import in_scope, needs, page_of, reader
from fleet.web.forms import ActForm, Ask, Sheet, carry_out, form_page, sent
from fleet.web.measures import PLAIN

DECLINE = "decline"
_HUNDRED = 100
FIGURE = PLAIN | {"inputmode": "decimal"}
# On a phone a line is as tall as a paragraph.
LINES = 25


@needs("view_specs")
def interval_list(request: HttpRequest) -> HttpResponse:
    person = reader(request)
    chosen = IntervalFilter(request.GET, queryset=proposals(person), request=request)
    page = page_of(request, chosen.qs, LINES)
    rows = interval_rows(page, person.units)
    context = {"filters": chosen, "page": page, "rows": rows, "aims": _aims()}
    return render(request, "intervals/list.html", context)


def _aims() -> dict[str, Any]:
    now = aims_now()
    return {"of": _shown(now.target), "sure": _shown(now.confidence), "costs": now.planned_cost}


def _shown(share: float) -> str:
    return f"{share * _HUNDRED:g}"


class DecideForm(ActForm):
    """The version read travels with the form: somebody else's step in between is told."""

    to = forms.ChoiceField(label=_("What is decided"), widget=forms.RadioSelect)
    reason = forms.CharField(
        label=_("Why"),
        help_text=_("Needed where it is declined."),
        widget=forms.Textarea(attrs={"rows": 2}),
        required=False,
        max_length=200,
    )
    sure = forms.BooleanField(
        label=_("I have looked: the maker's service information allows it"), required=False
    )

    def __init__(self, data: Any, story: IntervalStory) -> None:
        super().__init__(data, version=story.row.version)
        field: Any = self.fields["to"]
        field.choices = _offered(story)

    def clean(self) -> dict[str, Any] | None:
        """An acceptance has to be meant."""
        said = super().clean() or {}
        if said.get("to") in (BY_RECORD, BY_COST) and not said.get("sure"):
            message = gettext("Look at the maker's service information, then tick this.")
            self.add_error("sure", message)
        return said


def _offered(story: IntervalStory) -> list[tuple[str, str]]:
    found = []
    if story.row.offered_si is not None:
        found.append((BY_RECORD, gettext("Accept %(use)s") % {"use": story.offered}))
    if story.cheapest_offer:
        words = gettext("Accept the cheapest, %(use)s") % {"use": story.cheapest_offer}
        found.append((BY_COST, words))
    return [*found, (DECLINE, gettext("Decline: %(use)s stays") % {"use": story.now})]


@needs("view_specs")
def interval_page(request: HttpRequest, uid: Any) -> HttpResponse:
    person = reader(request)
    row = in_scope(proposals(person), uid=uid)
    may = person.may("judge_interval")
    if request.method == "POST" and not may:
        raise PermissionDenied
    story = interval_story(row, person.units)
    open_ = may and (row.offers or (request.method == "POST"))
    form = DecideForm(sent(request), story) if open_ else None
    if form is not None and _decided(request, row, form):
        messages.success(request, gettext("Recorded."))
        return redirect("interval", uid=uid)
    status = form.status if form is not None and form.errors else 200
    context = {"story": story, "form": form, "may": may, "aims": _aims()}
    return render(request, "intervals/page.html", context, status=status)


def _decided(request: HttpRequest, row: IntervalProposal, form: DecideForm) -> bool:
    """Whether the operation took it; else its reasons stand in the form."""

    def verb(ask: Ask) -> Done[IntervalProposal]:
        said = form.cleaned_data
        decision = Decision(row.pk, said["reason"], said["to"])
        do = decline_interval if said["to"] == DECLINE else accept_interval
        return do(ask.actor, decision, at=ask.at, expected_version=said["version"],
                  request=ask.request)  # fmt: skip

    return form.is_valid() and carry_out(request, form, verb) is not None


class BackForm(ActForm):
    reason = forms.CharField(
        label=_("Why it is taken back"),
        widget=forms.Textarea(attrs={"rows": 2}),
        required=False,
        max_length=200,
    )


@needs("judge_interval")
def interval_back(request: HttpRequest, uid: Any) -> HttpResponse:
    """What stood before an acceptance stands again."""
    row = in_scope(proposals(reader(request)), uid=uid)
    form = BackForm(sent(request), version=row.version)
    back = reverse("interval", args=[uid])
    sheet = Sheet(
        title=gettext("Take an accepted interval back"),
        button=gettext("Take it back"),
        back=back,
        back_text=gettext("How long such joints hold"),
        said=gettext("Taken back: rechecks made from now on take what stood before."),
        template="intervals/back.html",
        more={"story": interval_story(row, reader(request).units), "stands": accepted_stands(row)},
    )

    def verb(ask: Ask) -> Done[IntervalProposal]:
        said = form.cleaned_data
        decision = Decision(row.pk, said["reason"])
        return take_interval_back(ask.actor, decision, at=ask.at, request=ask.request,
                                  expected_version=said["version"])  # fmt: skip

    return form_page(request, form, sheet, verb, lambda _row: back)


class AimsForm(ActForm):
    """Figures as typed: the operation says what is wrong with them."""

    target = forms.CharField(
        label=_("Of 100 joints, how many shall still be tight at the recheck"),
        help_text=_("Between 50 and 99.9; 90 as delivered."),
        required=False,
        max_length=12,
        widget=forms.TextInput(attrs=FIGURE),
    )
    confidence = forms.CharField(
        label=_("How sure that must be, of 100"),
        help_text=_("Between 50 and 99.9; 90 as delivered."),
        required=False,
        max_length=12,
        widget=forms.TextInput(attrs=FIGURE),
    )
    planned_cost = forms.CharField(
        label=_("Cost of planned work at a joint"),
        help_text=_("In any one currency, a bare number. Leave both costs empty for none."),
        required=False,
        max_length=20,
        widget=forms.TextInput(attrs=FIGURE),
    )
    unplanned_cost = forms.CharField(
        label=_("Cost of the work where a joint came loose before"),
        required=False,
        max_length=20,
        widget=forms.TextInput(attrs=FIGURE),
    )


@needs("edit_rules")
def interval_aims(request: HttpRequest) -> HttpResponse:
    """What the fleet wants of its intervals, and what work costs."""
    now, back = aims_now(), reverse("intervals")
    typed = {
        "target": _shown(now.target),
        "confidence": _shown(now.confidence),
        "planned_cost": "" if now.planned_cost is None else f"{now.planned_cost:g}",
        "unplanned_cost": "" if now.unplanned_cost is None else f"{now.unplanned_cost:g}",
    }
    form = AimsForm(sent(request), version=now.version, initial=typed)
    sheet = Sheet(
        title=gettext("What intervals shall keep"),
        button=gettext("Put it on file"),
        back=back,
        back_text=gettext("Intervals"),
        said=gettext("On file. Proposals are reckoned anew by tomorrow."),
    )

    def verb(ask: Ask) -> Done[Any]:
        said = form.cleaned_data
        new = NewAims(said["target"], said["confidence"], said["planned_cost"],
                      said["unplanned_cost"])  # fmt: skip
        return set_aims(ask.actor, new, at=ask.at, request=ask.request,
                        expected_version=said["version"])  # fmt: skip

    return form_page(request, form, sheet, verb, lambda _row: back)
