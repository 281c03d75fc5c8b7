"""One torque tool: what befell it, and its uses on work that is not in this record."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations import tool_uses as verbs
from fleet.reads.days import today_at, zone_of
from fleet.reads.rules import settings_now
from fleet.reads.tool_page import tool_story, tool_uses
from fleet.reads.tools import MOST_USES, WARNING_DAYS, tool_rows, tools, with_uses
from fleet.records.models import TorqueTool
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent

HOW_MANY = {"inputmode": "numeric", "autocomplete": "off"}


def _uses() -> forms.IntegerField:
    return forms.IntegerField(
        label=gettext_lazy("How many times"),
        help_text=gettext_lazy("Each pull is one use."),
        widget=forms.TextInput(attrs=HOW_MANY),
        error_messages={
            "required": gettext_lazy("Type how many times, like 40."),
            "invalid": gettext_lazy("Type a whole number, like 40."),
        },
    )


class UseForm(ActForm):
    uses = _uses()
    on = forms.DateField(
        label=gettext_lazy("Day"),
        help_text=gettext_lazy("The last day, where there were several."),
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": gettext_lazy("Type the day, like 2026-11-25."),
            "invalid": gettext_lazy("Type the day like 2026-11-25."),
        },
    )
    reason = forms.CharField(
        label=gettext_lazy("On what work"),
        help_text=gettext_lazy("May be left empty."),
        required=False,
        max_length=200,
    )


class CorrectForm(ActForm):
    uses = _uses()
    reason = forms.CharField(
        label=gettext_lazy("Why it is corrected"),
        max_length=200,
        error_messages={"required": gettext_lazy("Say why it is corrected.")},
    )


def _tool(request: HttpRequest, tool_id: int) -> TorqueTool:
    return in_scope(with_uses(tools(reader(request))), pk=tool_id)


@needs("view_specs")
def tool_page(request: HttpRequest, tool_id: int) -> HttpResponse:
    tool, settings, now = _tool(request, tool_id), settings_now(), timezone.now()
    warned = int(settings.get("tool_warning_days", WARNING_DAYS))
    most = int(settings.get("tool_interval_uses", MOST_USES))
    context = {
        "row": tool_rows([tool], now, warned, most)[0],
        "story": tool_story(reader(request), tool),
    }
    with timezone.override(zone_of(tool.yard)):
        return render(request, "tool/page.html", context)


def _sheet(tool: TorqueTool, title: str, button: str, note: str) -> Sheet:
    return Sheet(
        title=title % {"tool": tool.code},
        button=button,
        back=reverse("tool", args=[tool.pk]),
        back_text=tool.code,
        said=_("Recorded."),
        note=note,
    )


@needs("edit_tools")
def tool_used(request: HttpRequest, tool_id: int) -> HttpResponse:
    tool = _tool(request, tool_id)
    form = UseForm(sent(request), initial={"on": today_at(tool.yard, timezone.now())})
    text = _(
        "A calibration is good for so many uses or so many days, whichever comes first (ISO 6789). "
        "Pulls in this record are counted by themselves: tell only of others."
    )
    sheet = _sheet(tool, _("%(tool)s used on other work"), _("Record the uses"), text)

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        new = verbs.NewUse(tool.pk, said["uses"], said["on"], said["reason"])
        return verbs.record_tool_use(ask.actor, new, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _row: sheet.back)


@needs("edit_tools")
def tool_use_correct(request: HttpRequest, tool_id: int, use_id: int) -> HttpResponse:
    use = in_scope(tool_uses(reader(request)), pk=use_id, tool_id=tool_id)
    form = CorrectForm(sent(request), initial={"uses": use.uses})
    text = _("Both numbers stay on file; the new one counts. 0 where there was no such use.")
    sheet = _sheet(use.tool, _("Correct the uses of %(tool)s"), _("Correct it"), text)

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        return verbs.correct_tool_use(
            ask.actor, use.pk, said["uses"], said["reason"], at=ask.at, request=ask.request
        )

    return form_page(request, form, sheet, verb, lambda _row: sheet.back)
