"""Sweeps: the list, one with its joints, and what opens, ends or takes one back."""

from collections import Counter
from datetime import date, datetime
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc.calendar import start_of_local_day
from fleet.operations import sweeps as verbs
from fleet.operations.actor import Actor
from fleet.operations.errors import NotThere, Refused
from fleet.operations.work import Done
from fleet.papers import reports
from fleet.papers.reports import FORMS
from fleet.papers.sweep_table import sweep_table
from fleet.reads.days import zone_of
from fleet.reads.filters import SweepJointFilter
from fleet.reads.patterns.members import practices
from fleet.reads.sweeps.progress import joints_of, progress_of, sentence
from fleet.reads.sweeps.progress import sweeps as sweeps_of
from fleet.reads.tools import tools
from fleet.records.models import Sweep, SweepJoint, TorqueTool
from fleet.web.doors import in_scope, needs, page_of, reader, yards
from fleet.web.forms import ActForm, Ask, Sheet, form_page, offer, sent
from fleet.web.handing import handed, may_be_long, reader_of

PLAIN = {"autocomplete": "off"}
# Of a long list, so many are shown before it is opened; the count says how many there are.
FIRST = 50


@needs("view_specs")
def sweep_list(request: HttpRequest) -> HttpResponse:
    page = page_of(request, sweeps_of(reader(request)))
    rows = [(sweep, progress_of(sweep)) for sweep in page]
    return render(request, "sweeps/list.html", {"page": page, "rows": rows})


@needs("view_specs")
@may_be_long
def sweep_page(request: HttpRequest, uid: Any) -> HttpResponse:
    person = reader(request)
    sweep = in_scope(sweeps_of(person), uid=uid)
    chosen = SweepJointFilter(request.GET, queryset=joints_of(person, sweep), request=request)
    wanted = request.GET.get("as", "")
    if wanted in FORMS:
        who = reader_of(request, yards(request))
        told = [sentence(progress_of(sweep)), sweep.reason]
        return handed(reports.report_file(sweep_table(sweep, chosen.qs), wanted, who, told))
    page = page_of(request, chosen.qs)
    progress = progress_of(sweep)
    context = {
        "sweep": sweep, "progress": progress, "sentence": sentence(progress), "filters": chosen,
        "page": page, "forms": list(FORMS),
    }  # fmt: skip
    return render(request, "sweeps/page.html", context)


class SweepForm(ActForm):
    """What is asked hangs on what is doubted."""

    names = {"tool_id": "tool"}
    of = forms.ChoiceField(choices=Sweep.Of.choices, widget=forms.HiddenInput)
    tool = forms.TypedChoiceField(
        label=gettext_lazy("Torque tool"),
        coerce=int,
        error_messages={"required": gettext_lazy("Choose the torque tool.")},
    )
    lot = forms.CharField(
        label=gettext_lazy("Lot"),
        help_text=gettext_lazy("As it is marked on the part or its box."),
        max_length=60,
        widget=forms.TextInput(attrs=PLAIN),
        error_messages={"required": gettext_lazy("Type the lot as it is marked.")},
    )
    number = forms.CharField(
        label=gettext_lazy("Part number"),
        help_text=gettext_lazy("Leave empty for every part of this lot."),
        max_length=60,
        widget=forms.TextInput(attrs=PLAIN),
        required=False,
    )
    practice = forms.ChoiceField(label=gettext_lazy("Way of tightening"))
    since = forms.DateField(
        label=gettext_lazy("Its last good day"),
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
        required=False,
        error_messages={"invalid": gettext_lazy("Type the day like 2026-11-25.")},
    )
    reason = forms.CharField(
        label=gettext_lazy("Why it is doubted"),
        max_length=200,
        widget=forms.TextInput(attrs=PLAIN),
        error_messages={"required": gettext_lazy("Say why it is doubted.")},
    )

    ASKED = {"tool": ("tool",), "lot": ("lot", "number"), "practice": ("practice",)}

    def __init__(self, data: Any, of: str, mine: Any, **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        self.of_now = of
        for kind, names in self.ASKED.items():
            for name in names if kind != of else ():
                del self.fields[name]
        if of == Sweep.Of.TOOL:
            named = [(tool.pk, f"{tool.code}, {tool.name}") for tool in mine]
            offer(self, "tool", [("", ""), *named])
            said = _("Leave empty for its last calibration before it failed or was dropped.")
            self.fields["since"].help_text = said
        elif of == Sweep.Of.PRACTICE:
            offer(self, "practice", practices())

    def asked(self, mine: Any) -> verbs.NewSweep:
        said = self.cleaned_data
        tool = next((one for one in mine if one.pk == said.get("tool")), None)
        return verbs.NewSweep(
            said["of"], said["reason"], _moment(said["since"], tool), said.get("tool"),
            said.get("number", ""), said.get("lot", ""), said.get("practice", ""),
        )  # fmt: skip


def _moment(day: date | None, tool: TorqueTool | None) -> datetime | None:
    """The start of that day at the tool's yard, else at the reader's."""
    if day is None:
        return None
    zone: Any = zone_of(tool.yard) if tool else timezone.get_current_timezone()
    return start_of_local_day(day, zone)


@needs("sweep")
def sweep_new(request: HttpRequest) -> HttpResponse:
    """What is doubted; a look at what that touches; then the sweep."""
    said = request.POST if request.method == "POST" else request.GET
    of = said.get("of", "")
    of = of if of in Sweep.Of.values else Sweep.Of.TOOL.value
    mine = list(tools(reader(request)))
    typed = {name: request.GET.get(name, "") for name in ("tool", "lot", "number", "practice")}
    form = SweepForm(sent(request), of, mine, initial={**typed, "of": of})
    sheet = Sheet(
        title=_("New sweep"),
        button=_("Open the sweep"),
        back=reverse("sweeps"),
        back_text=_("Sweeps"),
        said=_("Opened. The rechecks are owed."),
        template="sweeps/new.html",
        note=_("Every joint it touched since its last good day is listed, and a recheck made."),
        more={"kinds": Sweep.Of.choices, "of": of},
    )
    if request.method == "POST" and "look" in request.POST:
        return _looked(request, form, sheet, mine)

    def verb(ask: Ask) -> Done[Any]:
        return verbs.open_sweep(ask.actor, form.asked(mine), at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)


def _looked(request: HttpRequest, form: SweepForm, sheet: Sheet, mine: Any) -> HttpResponse:
    """The joints that it would list; nothing is recorded."""
    found: list[Any] | None = None
    if form.is_valid():
        actor = Actor(reader(request), "web")
        try:
            doubt = verbs.doubt_of(form.asked(mine), actor, timezone.now())
            # What somebody will have to do stands first.
            found = sorted(verbs.joints_to_list(actor, doubt), key=_done_already)
        except (Refused, NotThere) as refused:
            form.take(refused)
    context: dict[str, Any] = {"form": form, "sheet": sheet, **sheet.more}
    if found is not None:
        counted = Counter(row.stands for row in found)
        context["found"] = found[:FIRST]
        context["more"] = max(0, len(found) - FIRST)
        context["counts"] = [(label, counted[value]) for value, label in SweepJoint.Stands.choices]
    status = form.status if found is None else 200
    return render(request, sheet.template, context, status=status)


def _done_already(row: Any) -> bool:
    return bool(row.stands != SweepJoint.Stands.LOOK)


class EndForm(ActForm):
    said = forms.CharField(
        label=gettext_lazy("What came of it"),
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
        required=False,
    )


@needs("sweep")
def sweep_close(request: HttpRequest, uid: Any) -> HttpResponse:
    note = _(
        "It ends with its figure. What is not looked at yet stays owed, and needs a word here."
    )
    return _ended(request, uid, verbs.close_sweep, _("Close the sweep"), note, _("Closed."))


@needs("sweep")
def sweep_back(request: HttpRequest, uid: Any) -> HttpResponse:
    note = _("What it alone made is owed no longer. What was found stays on file. Say why.")
    return _ended(request, uid, verbs.take_sweep_back, _("Take the sweep back"), note,
                  _("Taken back."))  # fmt: skip


def _ended(
    request: HttpRequest, uid: Any, end: Any, title: str, note: str, said: str
) -> HttpResponse:
    sweep = in_scope(sweeps_of(reader(request)), uid=uid)
    form = EndForm(sent(request), version=sweep.version)
    progress = progress_of(sweep)
    sheet = Sheet(
        title=title, button=title, back=_page(sweep), back_text=str(sweep), said=said, note=note,
        template="sweeps/end.html", grave=end is verbs.take_sweep_back,
        more={"sweep": sweep, "progress": progress, "sentence": sentence(progress)},
    )  # fmt: skip

    def verb(ask: Ask) -> Done[Any]:
        typed = form.cleaned_data
        done: Done[Any] = end(ask.actor, sweep.pk, typed["said"], at=ask.at, request=ask.request,
                              expected_version=typed["version"])  # fmt: skip
        return done

    return form_page(request, form, sheet, verb, _page)


def _page(sweep: Sweep) -> str:
    return reverse("sweep", args=[sweep.uid])
