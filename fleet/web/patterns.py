"""What keeps coming back: the list, and one pattern with its evidence and what was done."""

from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from fleet.operations.moves import moves_by_hand
from fleet.operations.patterns import judge_pattern
from fleet.operations.work import Done
from fleet.reads.days import zone_of
from fleet.reads.filters import PatternFilter
from fleet.reads.patterns import pattern_story, patterns
from fleet.reads.patterns.group import finds_in_all, finds_of, missed_of
from fleet.reads.patterns.kinds import MISSED, is_by_statistics
from fleet.reads.patterns.listed import heads, listed
from fleet.records.models import Pattern, Person
from fleet.web.doors import in_scope, needs, page_of, reader
from fleet.web.forms import ActForm, Ask, carry_out, sent


@needs("view_patterns")
def pattern_list(request: HttpRequest) -> HttpResponse:
    """Filters choose among all; what one explains is shown under it where both are chosen."""
    person = reader(request)
    chosen = PatternFilter(request.GET, queryset=patterns(person), request=request)
    ids, folded = heads(chosen.qs)
    page = page_of(request, ids)
    found = listed(list(page), folded, person)
    context = {"filters": chosen, "page": page, "listed": found, "rows": found.rows}
    return render(request, "patterns/list.html", context)


class JudgeForm(ActForm):
    """The version read travels with the form: somebody else's step in between is told."""

    to = forms.ChoiceField(label=_("What happened"), choices=Pattern.State.choices)
    text = forms.CharField(
        label=_("In a sentence or two"),
        help_text=_("The cause that was found, what was done, or why it is set aside."),
        widget=forms.Textarea(attrs={"rows": 3}),
        required=False,
        max_length=2000,
    )

    def __init__(self, data: Any, pattern: Pattern) -> None:
        super().__init__(data, version=pattern.version)
        moves = moves_by_hand(pattern)
        words = {Pattern.State.OPEN: _("open again")}
        offered = [(to.value, words.get(to, to.label)) for to in Pattern.State if to in moves]
        self.fields["to"].widget.choices = offered


@needs("view_patterns")
def pattern_page(request: HttpRequest, uid: Any) -> HttpResponse:
    person = reader(request)
    pattern = in_scope(patterns(person), uid=uid)
    form = JudgeForm(sent(request), pattern) if person.may("judge_pattern") else None
    if form is None and request.method == "POST":
        raise PermissionDenied
    if form is not None and _judged(request, pattern, form):
        messages.success(request, gettext("Recorded."))
        return redirect("pattern", uid=uid)
    with timezone.override(_zone(pattern)):
        story = pattern_story(pattern, person, timezone.now())
        context = {"story": story, "form": form, **_evidence(request, pattern, person)}
        status = form.status if form is not None and form.errors else 200
        return render(request, "patterns/page.html", context, status=status)


def _zone(pattern: Pattern) -> Any:
    """Its yard's; what is about the whole fleet stays in the zone in force."""
    return zone_of(pattern.yard) if pattern.yard else timezone.get_current_timezone()


def _evidence(request: HttpRequest, pattern: Pattern, person: Person) -> dict[str, Any]:
    """What a pattern found by statistics rests on, a page of it, and how much lies elsewhere."""
    if not is_by_statistics(pattern):
        return {}
    if pattern.kind == MISSED:
        return {"missed": page_of(request, missed_of(pattern, person))}
    page = page_of(request, finds_of(pattern, person))
    elsewhere = 0 if person.all_yards else finds_in_all(pattern) - page.paginator.count
    return {"finds": page, "elsewhere": elsewhere}


def _judged(request: HttpRequest, pattern: Pattern, form: JudgeForm) -> bool:
    """Whether the operation took it; else its reasons stand in the form."""

    def verb(ask: Ask) -> Done[Pattern]:
        said = form.cleaned_data
        return judge_pattern(
            ask.actor,
            pattern.pk,
            to=said["to"],
            text=said["text"],
            at=ask.at,
            expected_version=said["version"],
            request=ask.request,
        )

    return form.is_valid() and carry_out(request, form, verb) is not None
