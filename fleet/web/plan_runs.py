"""Planning again: asked for, watched while it works, and put in place or left."""

from collections.abc import Sequence
from functools import wraps
from typing import Any

from django import forms
from django.contrib import messages
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
from fleet.reads.plan.run import run_story, runs, yards_of_run
from fleet.reads.plan.shared import Sharing, sharing
from fleet.reads.plan.week import plan_of
from fleet.records.models import PlanRun, Yard
from fleet.web.doors import View, in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, Sheet, form_page, offer, sent
from fleet.web.plan_doors import about_yard, plan_address, pressed
from fleet.web.plan_words import all_of, sharing_said


class AskForm(ActForm):
    """The other yards that share people are ticked; each is offered with the reason."""

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
    others = forms.MultipleChoiceField(
        label=gettext_lazy("Plan together with"),
        help_text=gettext_lazy(
            "They share people with it. Planned together, the planner weighs where each is needed "
            "more; left out, what stands there closes those days to them."
        ),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "invalid_choice": gettext_lazy(
                "One of these yards no longer shares people with it. Look at the list and send "
                "it again."
            )
        },
    )

    def __init__(self, *args: Any, yard: Yard, shared: Sequence[Sharing], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer(self, "others", [(one.yard.slug, sharing_said(one, yard)) for one in shared])
        self.initial["others"] = [one.yard.slug for one in shared]
        if not shared:
            del self.fields["others"]


def run_address(run: PlanRun) -> str:
    return reverse("plan_run", args=[run.pk])


@needs("edit_plan")
@about_yard
def plan_ask(request: HttpRequest, yard: Yard) -> HttpResponse:
    first = now_first(yard, plan_of(yard), timezone.now())
    shared = sharing(reader(request), yard)
    form = AskForm(sent(request), initial={"first": first}, yard=yard, shared=shared)
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
        wanted = [one.yard.pk for one in shared if one.yard.slug in said.get("others", ())]
        return ask_for_plan(ask.actor, yard.pk, at=ask.at, first=said["first"], days=said["days"],
                            others=wanted, request=ask.request)  # fmt: skip

    def then(run: PlanRun) -> str:
        if yard not in run.yards.all():
            names = all_of([each.name for each in yards_of_run(run)])
            said = _("The planner is still at work on %(yards)s. Ask again when it is done.")
            messages.info(request, said % {"yards": names})
        return run_address(run)

    return form_page(request, form, sheet, verb, then)


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
    story = run_story(run, reader(request))
    context = {"story": story, "run": run, "names": all_of([yard.name for yard in story.yards])}
    answer = render(request, "plan/run.html", context)
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
