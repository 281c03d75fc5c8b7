"""Everything owed, first to fall due first; handed over, put off, and printed."""

from django import forms
from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.operations.actor import Actor
from fleet.operations.assign import Handed, assign_many
from fleet.operations.errors import NotAllowed, Refused
from fleet.papers.week_list import week_list
from fleet.reads.days import zone_of
from fleet.reads.due import due_items, owed_or_done
from fleet.reads.due_filter import DueFilter
from fleet.reads.due_page import due_together, first_meters, week_of
from fleet.reads.due_parts import LongPaginator, in_parts
from fleet.records.models import Person, Yard
from fleet.web.doors import in_scope, needs, page_of, reader, yards
from fleet.web.handing import may_be_long, pdf

# What stands above the fold of the filters; the others are behind 'More'.
FIRST = ("yard", "when", "assigned_to", "kind", "vehicle", "joint_kind")
TOLD = 10


@needs("view_due")
def due_list(request: HttpRequest) -> HttpResponse:
    person, now = reader(request), timezone.now()
    chosen = DueFilter(
        request.GET, queryset=owed_or_done(person), request=request, today=timezone.localdate(now)
    )
    parts = in_parts(chosen.qs, chosen.form.cleaned_data.get("when"), yards(request), now)
    page = page_of(request, parts, kind=LongPaginator)
    items = due_items(page, now)
    context = {
        "filters": chosen,
        "first_fields": [chosen.form[name] for name in FIRST],
        "more_fields": [one for one in chosen.form if one.name not in FIRST],
        "more_open": any(one.value() for one in chosen.form if one.name not in FIRST),
        "page": page,
        "items": items,
        "together": due_together(person, items),
        "meters": first_meters(person, now),
        "now": now,
        "all": request.GET.get("all") == "1",
    }
    if person.may("assign_work"):
        context["people"] = chosen.form.fields["assigned_to"].queryset
    return render(request, "due/list.html", context)


@needs("assign_work")
def due_assign(request: HttpRequest) -> HttpResponse:
    """Hand the chosen lines over and go back to the same page of the list."""
    back = reverse("due") + (f"?{request.GET.urlencode()}" if request.GET else "")
    if request.method != "POST":
        return redirect(back)  # who had to sign in first comes back to the list
    to = request.POST.get("to", "")
    if to != "nobody" and not to.isdecimal():
        messages.error(request, _("Choose whom to hand it to."))
        return redirect(back)
    who = None if to == "nobody" else int(to[:18])
    ids = [int(each[:18]) for each in request.POST.getlist("recheck") if each.isdecimal()]
    try:
        handed = assign_many(Actor(reader(request), "web"), ids, who, at=timezone.now())
    except NotAllowed as barred:
        raise PermissionDenied from barred
    except Refused as refused:
        messages.error(request, str(refused))
        return redirect(back)
    named = Person.visible_to(reader(request)).filter(pk=who or 0).first()
    _tell(request, handed, named.name if named else "")
    return redirect(back)


def _tell(request: HttpRequest, handed: Handed, name: str) -> None:
    """How many, and each that could not be, with why."""
    if handed.done:
        said = (ngettext("%(n)d line handed to %(who)s.", "%(n)d lines handed to %(who)s.",
                         handed.done) if name
                else ngettext("%(n)d line handed to nobody.", "%(n)d lines handed to nobody.",
                              handed.done))  # fmt: skip
        messages.success(request, said % {"n": handed.done, "who": name})
    problems = list(handed.problems.values())
    for problem in problems[:TOLD]:
        messages.error(request, problem.message)
    if len(problems) > TOLD:
        more = len(problems) - TOLD
        said = ngettext("And %(n)d more was not.", "And %(n)d more were not.", more)
        messages.error(request, said % {"n": more})


class WeekForm(forms.Form):
    yard = forms.SlugField(required=False)


@needs("view_due")
@may_be_long
def due_week(request: HttpRequest) -> HttpResponse:
    """The week on paper, for one yard or for all of the reader's."""
    form = WeekForm(request.GET)
    if not form.is_valid():
        raise Http404
    person, now, slug = reader(request), timezone.now(), form.cleaned_data["yard"]
    mine = [in_scope(Yard.visible_to(person), slug=slug)] if slug else yards(request)
    zone = zone_of(mine[0]) if len(mine) == 1 else timezone.get_current_timezone()
    with timezone.override(zone):
        content = week_list(week_of(person, mine, now), person.units, now)
    return pdf(content, f"week-{slug or 'all'}")
