"""The road test of a recheck: who drove, where, in which steps, and what came of it."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.recheck_drive import Drive, drive_recheck, speeds_of
from fleet.operations.work import Done
from fleet.reads.days import zone_of
from fleet.reads.due import owed
from fleet.records.models import Recheck, RecheckDrive, Vehicle
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, MomentField, Sheet, form_page, sent
from fleet.web.step_forms import LONG, passed_field


class DriveForm(ActForm):
    driver = forms.CharField(
        label=gettext_lazy("Driver"),
        max_length=120,
        error_messages={"required": gettext_lazy("Name the driver.")},
    )
    place = forms.CharField(
        label=gettext_lazy("Where it was driven"),
        help_text=gettext_lazy("Best on the yard's own ground first."),
        max_length=160,
        error_messages={"required": gettext_lazy("Say where it was driven.")},
    )
    speeds = forms.CharField(
        label=gettext_lazy("Speeds, in steps"),
        help_text=gettext_lazy("Each step reached, in the order driven: 20, 35, 45 mph."),
        max_length=120,
        error_messages={"required": gettext_lazy("Give the steps that it was driven in.")},
    )
    passed = passed_field(gettext_lazy("Say whether it passed."))
    note = forms.CharField(
        label=gettext_lazy("What was felt, and at what speed"),
        widget=forms.Textarea(attrs=LONG),
        required=False,
        max_length=2000,
    )
    occurred_at = MomentField()

    def __init__(self, data: Any, vehicle: Vehicle) -> None:
        super().__init__(data)
        self.vehicle = vehicle

    def readers(self) -> dict[str, Callable[[str], Any]]:
        return {"speeds": lambda typed: speeds_of(typed, self.vehicle, 1)}


@needs("inspect")
def recheck_drive(request: HttpRequest, recheck_id: int) -> HttpResponse:
    rows = owed(reader(request)).filter(road_test=True)
    if request.method == "POST":
        # Sent again for one that is done by now: the operation answers.
        rows = Recheck.visible_to(reader(request)).select_related("vehicle__yard")
    recheck = in_scope(rows, pk=recheck_id)
    vehicle = recheck.vehicle
    form = DriveForm(sent(request), vehicle)
    back = reverse("vehicle", args=[vehicle.unit_number])
    sheet = Sheet(
        title=_("Road test of a recheck: %(unit)s") % {"unit": vehicle.unit_number},
        button=_("Record the road test"),
        back=back,
        back_text=vehicle.unit_number,
        said=_("The road test is on file."),
        template="due/drive.html",
        more={"vehicle": vehicle, "recheck": recheck},
    )

    def verb(ask: Ask) -> Done[RecheckDrive]:
        said: dict[str, Any] = dict(form.cleaned_data)
        names = ("driver", "place", "speeds", "passed", "note", "occurred_at")
        drive = Drive(recheck.pk, **{name: said[name] for name in names})
        return drive_recheck(ask.actor, drive, at=ask.at, request=ask.request)

    with timezone.override(zone_of(vehicle.yard)):
        return form_page(request, form, sheet, verb, lambda _row: back)
