"""Bringing in a file: looked over first, then taken as a whole."""

from collections.abc import Callable
from time import perf_counter
from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from fleet.operations.actor import Actor
from fleet.operations.bring_in import BroughtIn, import_readings, import_vehicles, question
from fleet.operations.bring_in import readings as reading_file
from fleet.operations.bring_in import vehicle_columns as vehicle_file
from fleet.operations.bring_in.vehicles import MOST_ROWS as MOST_VEHICLES
from fleet.operations.once import Request
from fleet.web import kept_files
from fleet.web.doors import needs, reader
from fleet.web.forms import HouseForm

IMPORTERS: dict[str, Callable[..., BroughtIn]] = {
    "vehicles": import_vehicles,
    "readings": import_readings,
}
# How many times as long as looking it over a file takes to bring in (measured: 5 and 3.5).
TAKES = {"vehicles": 6, "readings": 4}
WORTH_TELLING, IN_MINUTES = 10.0, 100.0
SAMPLES = {"vehicles": "vehicles.csv", "readings": "meter-readings.csv"}


class BringInForm(HouseForm):
    kind = forms.ChoiceField(
        label=gettext_lazy("What stands in the file"),
        choices=[
            ("vehicles", gettext_lazy("vehicles")),
            ("readings", gettext_lazy("meter readings")),
        ],
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Say what stands in the file.")},
    )
    file = forms.FileField(
        label=gettext_lazy("File"),
        help_text=gettext_lazy("CSV with column titles in the first row. It is looked over first."),
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,text/csv"}),
        allow_empty_file=True,
        error_messages={"required": gettext_lazy("Choose a file.")},
    )

    def clean_file(self) -> Any:
        file = self.cleaned_data["file"]
        if file.size > settings.IMPORT_MAX_BYTES:
            message = _("The file is larger than %(most)s MB. Split it.")
            raise forms.ValidationError(message % {"most": settings.IMPORT_MAX_BYTES // 1_000_000})
        return file


class YesForm(HouseForm):
    """The yes to a file that was looked over, and where it may be half a file the word on that."""

    token = forms.CharField(widget=forms.HiddenInput)
    name = forms.CharField(widget=forms.HiddenInput, required=False, max_length=200)
    whole = forms.BooleanField(label=gettext_lazy("This is the whole file"), required=False)

    def __init__(self, *args: Any, report: BroughtIn, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        asked = question(report)
        if asked:
            self.fields["whole"].help_text = asked
        else:
            del self.fields["whole"]


@needs("bring_in")
def bring_in(request: HttpRequest) -> HttpResponse:
    if "token" in request.POST:
        return _take(request)
    sent = request.method == "POST"
    form = BringInForm(request.POST, request.FILES) if sent else BringInForm()
    if sent and form.is_valid():
        return _look_over(request, form.cleaned_data["kind"], form.cleaned_data["file"])
    return _page(request, form, 400 if form.errors else 200)


def _page(request: HttpRequest, form: BringInForm, status: int) -> HttpResponse:
    context = {
        "form": form,
        "files": [
            (_("Vehicles"), "vehicles", vehicle_file.COLUMNS, MOST_VEHICLES),
            (_("Meter readings"), "readings", reading_file.COLUMNS, reading_file.MOST_ROWS),
        ],
    }
    return render(request, "bring_in/page.html", context, status=status)


def _look_over(request: HttpRequest, kind: str, upload: Any) -> HttpResponse:
    """Say what would come of the file; where it is fine, keep it for the yes."""
    file = kept_files.keep(reader(request), kind, upload)
    started = perf_counter()
    report = _bring(request, file, dry_run=True)
    seconds = TAKES[kind] * (perf_counter() - started)
    if not report.fine:
        kept_files.forget(file)
    return _report(request, report, file, upload.name, seconds=seconds)


def _take(request: HttpRequest) -> HttpResponse:
    """The yes: judged again, for the record may have changed since, and taken."""
    file = kept_files.kept(reader(request), request.POST["token"])
    if file is None:
        messages.error(request, _("The file is no longer here. Choose it again."))
        return redirect("bring_in")
    report = _bring(request, file, dry_run=False, whole="whole" in request.POST)
    if report.in_doubt:
        return _ask_again(request, file)
    if not report.fine:
        return _report(request, report, file, request.POST.get("name", ""), status=400)
    kept_files.forget(file)
    messages.success(request, _outcome(report))
    return redirect("vehicles" if file.kind == "vehicles" else "bring_in")


def _ask_again(request: HttpRequest, file: kept_files.Kept) -> HttpResponse:
    """A yes without the word that the file is whole: the same page, the question marked."""
    report = _bring(request, file, dry_run=True)
    form = YesForm(request.POST, report=report)
    if "whole" in form.fields:
        form.add_error("whole", _("Say that this is the whole file, or choose the file again."))
    return _report(request, report, file, request.POST.get("name", ""), form, status=400)


def _bring(
    request: HttpRequest, file: kept_files.Kept, *, dry_run: bool, whole: bool = False
) -> BroughtIn:
    # The page's own token is its key: a second tap is answered like the first.
    key = None if dry_run else Request(f"file-{file.token[-60:]}", file.digest)
    with file.path.open("rb") as source:
        return IMPORTERS[file.kind](
            Actor(reader(request)), source, at=timezone.now(), dry_run=dry_run, whole=whole,
            request=key,
        )  # fmt: skip


def _outcome(report: BroughtIn) -> str:
    text = ngettext("%(n)s row came in.", "%(n)s rows came in.", report.added)
    if report.on_file:
        text += " " + ngettext("%(on)s was on file.", "%(on)s were on file.", report.on_file)
    return text % {"n": f"{report.added:,}", "on": f"{report.on_file:,}"}


def _report(
    request: HttpRequest, report: BroughtIn, file: kept_files.Kept, name: str,
    form: YesForm | None = None, *, seconds: float = 0.0, status: int = 200,
) -> HttpResponse:  # fmt: skip
    yes = form or YesForm(initial={"token": file.token, "name": name}, report=report)
    context = {"report": report, "form": yes, "name": name, "takes": _takes(seconds)}
    return render(request, "bring_in/report.html", context, status=status)


def _takes(seconds: float) -> str:
    """How long the yes will take, from what looking it over took; short ones go without saying."""
    if seconds < WORTH_TELLING:
        return ""
    if seconds < IN_MINUTES:
        return _("%(n)s seconds") % {"n": 10 * round(seconds / 10)}
    return _("%(n)s minutes") % {"n": round(seconds / 60)}


@needs("bring_in")
def sample(request: HttpRequest, kind: str) -> HttpResponse:
    """A small file to begin from."""
    if kind not in SAMPLES:
        raise Http404
    path = settings.BASE_DIR / "fixtures" / "samples" / SAMPLES[kind]
    headers = {"Content-Disposition": f'attachment; filename="{SAMPLES[kind]}"'}
    return HttpResponse(path.read_bytes(), content_type="text/csv; charset=utf-8", headers=headers)
