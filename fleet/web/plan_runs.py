"""Planning again: asked for, watched while it works, and put in place or left."""

from functools import wraps
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.plan_runs import (
    DAYS,
    MOST_DAYS,
    ask_for_plan,
    leave_run,
    stop_run,
    take_run,
)
from fleet.reads.days import zone_of
from fleet.reads.plan.facts import now_first
from fleet.reads.plan.run import run_story, runs
from fleet.reads.plan.week import plan_of
from fleet.records.models import PlanRun, Yard
from fleet.web.doors import View, in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent
from fleet.web.plan_doors import about_yard, plan_address, pressed


class AskForm(ActForm):
    first = forms.DateField(
        label=gettext_lazy("First day"),
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages=dict.fromkeys(
            ("required", "invalid"), gettext_lazy("Choose a day, like 2026-11-30.")
        ),
    )
    days = forms.IntegerField(
        label=gettext_lazy("How many days"),
        min_value=1,
        max_value=MOST_DAYS,
        initial=DAYS,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages=dict.fromkeys(
            ("required", "invalid"), gettext_lazy("Type a whole number, like 14.")
        ),
    )


def run_address(run: PlanRun) -> str:
    return reverse("plan_run", args=[run.pk])


@needs("edit_plan")
@about_yard
def plan_ask(request: HttpRequest, yard: Yard) -> HttpResponse:
    first = now_first(yard, plan_of(yard), timezone.now())
    form = AskForm(sent(request), initial={"first": first})
    sheet = Sheet(
        title=_("Plan %(yard)s again") % {"yard": yard.name}, button=_("Plan again"),
        back=plan_address(yard), back_text=_("Plan"),
        note=_(
            "What falls due by the last day is put on days, bays and people, what may hold a "
            "vehicle first. Pins and locked days stay. You see what it proposes before "
            "anything changes."
        ),
    )  # fmt: skip

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        return ask_for_plan(ask.actor, yard.pk, at=ask.at, first=said["first"],
                            days=said["days"], request=ask.request)  # fmt: skip

    return form_page(request, form, sheet, verb, run_address)


def about_run(view: View) -> View:
    """Hand the view the run of its address, or answer 404; in its yard's time zone."""

    @wraps(view)
    def found(request: HttpRequest, run_id: int, **more: Any) -> HttpResponse:
        run = in_scope(runs(reader(request)), pk=run_id)
        with timezone.override(zone_of(run.yard)):
            return view(request, run, **more)

    return found


@needs("edit_plan")
@about_run
def plan_run(request: HttpRequest, run: PlanRun) -> HttpResponse:
    """The whole page, or while it works the small part of it that is asked for again and again."""
    htmx = getattr(request, "htmx", False)
    if htmx and run.state in PlanRun.ASKED:
        return render(request, "plan/progress.html", {"run": run})
    answer = render(
        request, "plan/run.html", {"story": run_story(run, reader(request)), "run": run}
    )
    if htmx:
        # It is over: the page is read anew as a whole.
        answer["HX-Refresh"] = "true"
    return answer


@needs("edit_plan")
@about_run
def plan_stop(request: HttpRequest, run: PlanRun) -> HttpResponse:
    def verb(ask: Ask, _version: int | None) -> Any:
        return stop_run(ask.actor, run.pk, at=ask.at, request=ask.request)

    return pressed(
        request, verb, run_address, run_address(run), _("It keeps the best plan so far.")
    )


@needs("edit_plan")
@about_run
def plan_take(request: HttpRequest, run: PlanRun) -> HttpResponse:
    def verb(ask: Ask, version: int | None) -> Any:
        return take_run(ask.actor, run.pk, at=ask.at, expected_version=version,
                        request=ask.request)  # fmt: skip

    def then(row: PlanRun) -> str:
        return run_address(row) if row.taken.get("stale") else plan_address(row.yard, row.first)

    return pressed(request, verb, then, run_address(run), _("In place."))


@needs("edit_plan")
@about_run
def plan_leave(request: HttpRequest, run: PlanRun) -> HttpResponse:
    def verb(ask: Ask, version: int | None) -> Any:
        return leave_run(ask.actor, run.pk, at=ask.at, expected_version=version,
                         request=ask.request)  # fmt: skip

    back = plan_address(run.yard, run.first)
    return pressed(
        request, verb, lambda _row: back, run_address(run), _("The plan stays as it is.")
    )
