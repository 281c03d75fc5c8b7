"""The fleet's rules: what they say, who changed them, and a change with its preview."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _

from fleet.operations.actor import Actor
from fleet.operations.errors import Refused
from fleet.operations.rule_change import change_rule
from fleet.operations.rule_data import NewRule
from fleet.operations.rule_preview import preview_rule
from fleet.operations.work import Done
from fleet.reads.exceptions import exceptions_standing
from fleet.reads.rule_shapes import (
    STEPS,
    Shape,
    groups,
    shape_of,
)
from fleet.reads.rule_shapes import shapes as all_shapes
from fleet.reads.rule_words import step_said, versions_of, words_of
from fleet.records.models import Rule
from fleet.web.doors import needs, reader
from fleet.web.forms import Ask, carry_out, sent
from fleet.web.rule_forms import BackForm, RuleForm


@needs("view_specs")
def rule_list(request: HttpRequest) -> HttpResponse:
    rows = all_shapes()
    said = {(one.kind, one.key): words_of(one.now.data) for one in rows if one.now}
    context = {
        "groups": groups(rows),
        "said": said,
        "exceptions": exceptions_standing(reader(request), timezone.now()),
    }
    return render(request, "rules/list.html", context)


@needs("view_specs")
def rule_page(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    """What it says, and every version of it with who, when and why."""
    shape = _shape(kind, key)
    context = {
        "shape": shape,
        "says": words_of(shape.now.data) if shape.now else "",
        "steps": [step_said(step) for step in shape.rungs] if shape.form == STEPS else [],
        "versions": versions_of(kind, key),
    }
    return render(request, "rules/page.html", context)


def _shape(kind: str, key: str) -> Shape:
    found = shape_of(kind, key)
    if found is None:
        raise Http404
    return found


@needs("edit_rules")
def rule_change(request: HttpRequest, kind: str, key: str) -> HttpResponse:
    shape = _shape(kind, key)
    form = RuleForm(sent(request), shape)
    if request.method != "POST" and kind == "routine" and shape.now is None:
        _like_the_duty(form, shape)
    return _previewed(request, form, shape, _("Change: %(rule)s") % {"rule": shape.name}, form.new)


def _like_the_duty(form: RuleForm, shape: Shape) -> None:
    """A weight class's first rule begins with the figures of its duty."""
    duty = _shape("routine", shape.key.partition("-")[0])
    form.add_steps(duty.rungs, 1)


@needs("edit_rules")
def rule_back(request: HttpRequest, kind: str, key: str, version: int) -> HttpResponse:
    """An earlier version, put in force again as a new one."""
    shape = _shape(kind, key)
    earlier = next((one for one in versions_of(kind, key) if one.row.version == version), None)
    if earlier is None or earlier.row.is_current:
        raise Http404
    form = BackForm(sent(request), version=shape.version)
    if shape.kind in ("setting", "minutes"):
        del form.fields["anew"]
    title = _("Back to version %(n)d: %(rule)s") % {"n": version, "rule": shape.name}

    def new() -> NewRule:
        said = form.cleaned_data
        return NewRule(kind, key, reason=said["reason"], anew=said.get("anew", False),
                       back_to=version)  # fmt: skip

    return _previewed(request, form, shape, title, new, earlier=earlier)


def _previewed(
    request: HttpRequest, form: Any, shape: Shape, title: str, new: Any, **more: Any
) -> HttpResponse:
    """Show what it would move; kept only as it was shown."""
    preview = None
    if request.method == "POST" and form.is_valid():
        if form.meant():
            if carry_out(request, form, lambda ask: _changed(ask, form, new())) is not None:
                messages.success(request, _("On file as a new version."))
                return redirect("rule", shape.kind, shape.key)
        else:
            preview = _preview(request, form, new())
    context = {"form": form, "shape": shape, "title": title, "preview": preview,
               "says": words_of(shape.now.data) if shape.now else "",
               "back": reverse("rule", args=[shape.kind, shape.key]), **more}  # fmt: skip
    wrong = form.is_bound and not form.is_valid()
    return render(request, "rules/change.html", context, status=form.status if wrong else 200)


def _preview(request: HttpRequest, form: Any, new: NewRule) -> Any:
    try:
        found = preview_rule(Actor(reader(request), "web"), new, now=timezone.now())
    except Refused as refusal:
        form.take(refusal)
        return None
    form.shown()
    return found


def _changed(ask: Ask, form: Any, new: NewRule) -> Done[Rule]:
    return change_rule(ask.actor, new, at=ask.at, request=ask.request,
                       expected_version=form.cleaned_data["version"])  # fmt: skip
