"""Torque tools: put on file, calibrated, compared, dropped."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations import tools as verbs
from fleet.reads.tools import tools
from fleet.records.models import TorqueTool, Yard
from fleet.web.doors import in_scope, needs, reader, yards
from fleet.web.forms import ActForm, Ask, FigureInput, Sheet, form_page, offer, sent
from fleet.web.measures import SHORT
from fleet.web.numbers import NumberField

PLAIN = {"autocomplete": "off"}
FIGURE = gettext_lazy("Like 125 lbf·ft or 170 N·m.")
LEVER = gettext_lazy("Length, square drive to middle of the grip")
LEVER_WHY = gettext_lazy("Like 18 in. Needed where it is used with a crow-foot or an extension.")


def _sheet(title: str, button: str, said: str, caution: str = "") -> Sheet:
    return Sheet(
        title=title,
        button=button,
        back=f"{reverse('specs')}#tools",
        back_text=_("Torque tools"),
        said=said,
        template="tool/form.html",
        more={"caution": caution},
    )


def _back(_row: Any) -> str:
    return f"{reverse('specs')}#tools"


def _text(
    label: Any, missing: Any, longest: int = 40, hint: Any = "", attrs: dict[str, str] = PLAIN
) -> forms.CharField:
    return _typed(label, missing, hint, forms.TextInput(attrs=attrs), longest)


def _figure(label: Any, missing: Any, hint: Any = "") -> forms.CharField:
    return _typed(label, missing, hint, FigureInput("torque"))


def _typed(
    label: Any, missing: Any, hint: Any, widget: forms.Widget, longest: int = 40
) -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=hint,
        max_length=longest,
        widget=widget,
        error_messages={"required": missing},
    )


class ToolForm(ActForm):
    names = {
        "low": "low_typed",
        "high": "high_typed",
        "yard": "yard_id",
        "lever": "lever_typed",
    }

    code = _text(
        gettext_lazy("Code on the tool"),
        gettext_lazy("Type the code on the tool."),
        20,
        gettext_lazy("As it is marked, like AB-01."),
        SHORT,
    )
    name = _text(
        gettext_lazy("Description"),
        gettext_lazy("Say what it is, like 1/2 in click."),
        80,
        gettext_lazy("Like half-inch click wrench."),
    )
    kind = forms.ChoiceField(label=gettext_lazy("Kind"), choices=TorqueTool.Kind.choices)
    low_typed = _figure(gettext_lazy("Range from"), gettext_lazy("Type the lowest figure."), FIGURE)
    high_typed = _figure(gettext_lazy("Range to"), gettext_lazy("Type the highest figure."), FIGURE)
    lever_typed = forms.CharField(
        label=LEVER,
        help_text=LEVER_WHY,
        max_length=40,
        widget=FigureInput("length"),
        required=False,
    )
    yard_id = forms.TypedChoiceField(label=gettext_lazy("Yard"), coerce=int)

    def __init__(self, data: Any, mine: list[Yard]) -> None:
        super().__init__(data)
        offer(self, "yard_id", [(y.pk, y.name) for y in mine])


@needs("edit_tools")
def tool_new(request: HttpRequest) -> HttpResponse:
    form = ToolForm(sent(request), yards(request))
    text = _("A tool is not believed until a calibration is on file.")
    sheet = _sheet(_("New torque tool"), _("Put it on file"), _("On file."), text)

    def verb(ask: Ask) -> Any:
        names = ("code", "name", "kind", "low_typed", "high_typed", "yard_id", "lever_typed")
        new = verbs.NewTool(**{name: form.cleaned_data[name] for name in names})
        return verbs.add_tool(ask.actor, new, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _back)


class LengthForm(ActForm):
    names = {"lever_typed": "lever"}
    lever = _typed(LEVER, gettext_lazy("Type it like 18 in."), LEVER_WHY, FigureInput("length"))


@needs("edit_tools")
def tool_length(request: HttpRequest, tool_id: int) -> HttpResponse:
    tool = _tool(request, tool_id)
    form = LengthForm(sent(request))
    form.initial["lever"] = tool.lever_typed
    text = _("What was pulled with an extension before keeps the torque it was reckoned at.")
    title = _("Length of %(tool)s") % {"tool": tool.code}
    sheet = _sheet(title, _("Put it on file"), _("On file."), text)

    def verb(ask: Ask) -> Any:
        lever = form.cleaned_data["lever"]
        return verbs.set_lever(ask.actor, tool.pk, lever, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _back)


class CalibrationForm(ActForm):
    passed = forms.TypedChoiceField(
        label=gettext_lazy("Result"),
        choices=[("yes", gettext_lazy("Passed")), ("no", gettext_lazy("Failed"))],
        coerce=lambda said: said == "yes",
        widget=forms.RadioSelect(attrs={"class": "in-row"}),
        error_messages={"required": gettext_lazy("Say whether it passed.")},
    )
    certificate = _text(
        gettext_lazy("Certificate"),
        gettext_lazy("Type the certificate's number."),
        120,
        gettext_lazy("Its number, and who calibrated."),
    )
    on = forms.DateField(
        label=gettext_lazy("Calibrated on"),
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": gettext_lazy("Type the day, like 2026-11-25."),
            "invalid": gettext_lazy("Type the day like 2026-11-25."),
        },
    )
    good_until = forms.DateField(
        label=gettext_lazy("Good until"),
        help_text=gettext_lazy("Leave empty for the fleet's own interval."),
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        required=False,
    )
    worst = NumberField(
        label=gettext_lazy("Worst deviation, percent"),
        help_text=gettext_lazy("As the certificate has it, like 3.5. May be left empty."),
        required=False,
        min_value=0,
        max_value=100,
        widget=forms.TextInput(attrs={"inputmode": "decimal", **PLAIN}),
    )


def _tool(request: HttpRequest, tool_id: int) -> TorqueTool:
    return in_scope(tools(reader(request)), pk=tool_id)


@needs("edit_tools")
def tool_calibrate(request: HttpRequest, tool_id: int) -> HttpResponse:
    tool = _tool(request, tool_id)
    form = CalibrationForm(sent(request))
    text = _("A pass ends doubt. A fail takes the tool out of belief: list what it tightened.")
    title = _("Calibration of %(tool)s") % {"tool": tool.code}
    sheet = _sheet(title, _("Record the calibration"), _("Recorded."), text)

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        worst = None if said["worst"] is None else said["worst"] / 100
        return verbs.calibrate(
            ask.actor,
            tool.pk,
            said["certificate"],
            passed=said["passed"],
            on=said["on"],
            at=ask.at,
            good_until=said["good_until"],
            worst_deviation=worst,
            request=ask.request,
        )

    return form_page(request, form, sheet, verb, _back)


class ComparisonForm(ActForm):
    beside = forms.TypedChoiceField(label=gettext_lazy("Beside the tool"), coerce=int)
    figure = _figure(gettext_lazy("At the figure"), gettext_lazy("Type the figure."), FIGURE)
    pull_1 = _figure(gettext_lazy("First pull"), gettext_lazy("Type what was read."))
    pull_2 = _figure(gettext_lazy("Second pull"), gettext_lazy("Type what was read."))
    pull_3 = _figure(gettext_lazy("Third pull"), gettext_lazy("Type what was read."))
    names = {"pulls": "pull_1"}

    def __init__(self, data: Any, others: list[TorqueTool]) -> None:
        super().__init__(data)
        choices = [(tool.pk, f"{tool.code}, {tool.name}") for tool in others]
        offer(self, "beside", choices)


@needs("record_line")
def tool_compare(request: HttpRequest, tool_id: int) -> HttpResponse:
    tool = _tool(request, tool_id)
    others = tools(reader(request)).filter(in_use=True).exclude(pk=tool.pk)
    form = ComparisonForm(sent(request), list(others))
    text = _("Three pulls at the figure beside a tool that is in date. Never after a drop.")
    title = _("Compare %(tool)s") % {"tool": tool.code}
    sheet = _sheet(title, _("Record the comparison"), _("Recorded."), text)

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        pulls = (said["pull_1"], said["pull_2"], said["pull_3"])
        return verbs.compare(
            ask.actor,
            tool.pk,
            said["beside"],
            said["figure"],
            pulls,
            at=ask.at,
            request=ask.request,
        )

    return form_page(request, form, sheet, verb, _back)


class MishapForm(ActForm):
    what = _text(
        gettext_lazy("What happened"),
        gettext_lazy("Say what happened to it."),
        200,
        gettext_lazy("Like: fell from the bench, or pulled past its range."),
    )


@needs("record_line")
def tool_mishap(request: HttpRequest, tool_id: int) -> HttpResponse:
    tool = _tool(request, tool_id)
    form = MishapForm(sent(request))
    text = _("From now on its readings are doubted, until it is calibrated again.")
    title = _("Dropped or overloaded: %(tool)s") % {"tool": tool.code}
    sheet = _sheet(title, _("Report it"), _("Reported: the tool is doubted from now on."), text)

    def verb(ask: Ask) -> Any:
        what = form.cleaned_data["what"]
        return verbs.report_mishap(ask.actor, tool.pk, what, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _back)
