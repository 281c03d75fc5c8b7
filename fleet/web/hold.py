"""Holds: placed in a moment, lifted only with a second check."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.holds import Check, lift_hold, place_hold
from fleet.reads.days import zone_of
from fleet.reads.rules import rules
from fleet.reads.ticket_facts import joints_to_work_on
from fleet.records.models import Hold, Joint, SecondCheck, Vehicle
from fleet.web.about import about_vehicle
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Sheet, form_page, offer, sent


class HoldForm(ActForm):
    text = forms.CharField(
        label=gettext_lazy("Why it must not go out"),
        help_text=gettext_lazy("What was seen and where, like: crack at the track bar bracket."),
        max_length=300,
        error_messages={"required": gettext_lazy("Say why the vehicle is held.")},
    )
    joint = forms.TypedChoiceField(
        label=gettext_lazy("Joint, if one is the reason"),
        coerce=int,
        empty_value=None,
        required=False,
    )

    def __init__(self, data: Any, joints: list[Joint], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        choices = [("", _("none")), *((joint.pk, str(joint)) for joint in joints)]
        offer(self, "joint", choices)


@needs("place_hold")
@about_vehicle
def hold_new(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    form = HoldForm(sent(request), joints_to_work_on(vehicle))
    back = reverse("vehicle", args=[vehicle.unit_number])
    sheet = Sheet(
        title=_("Hold %(unit)s") % {"unit": vehicle.unit_number},
        button=_("Hold it now"),
        back=back,
        back_text=vehicle.unit_number,
        said=_("Held. It must not go out."),
        grave=True,
        note=_("From now on it must not go out. Only a passed second check lifts the hold."),
    )

    def verb(ask: Any) -> Any:
        said = form.cleaned_data
        return place_hold(
            ask.actor,
            vehicle.pk,
            said["text"],
            at=ask.at,
            joint_id=said["joint"],
            request=ask.request,
        )

    return form_page(request, form, sheet, verb, lambda _hold: back)


# A self re-check is a ticket's only: it goes by a leave that is written there.
HOWS = [each for each in SecondCheck.How.choices if each[0] != SecondCheck.How.SELF]


class LiftForm(ActForm):
    dry_steer = forms.BooleanField(
        label=gettext_lazy("Dry steer made on the floor, brake set, wheels chocked, hands clear"),
        required=False,
    )
    how = forms.ChoiceField(label=gettext_lazy("How it was checked"), choices=HOWS)
    note = forms.CharField(
        label=gettext_lazy("What was checked"),
        help_text=gettext_lazy("Each joint that was looked at, and how."),
        widget=forms.Textarea(attrs={"rows": 3}),
        required=False,
        max_length=2000,
    )


@needs("lift_hold")
def hold_lift(request: HttpRequest, hold_id: int) -> HttpResponse:
    """Lift a hold that no ticket carries."""
    rows = Hold.visible_to(reader(request)).select_related("vehicle__yard", "placed_by", "finding")
    hold = in_scope(rows, pk=hold_id)
    back = reverse("vehicle", args=[hold.vehicle.unit_number])
    form = LiftForm(sent(request))
    sheet = Sheet(
        title=_("Lift the hold on %(unit)s") % {"unit": hold.vehicle.unit_number},
        button=_("Lift the hold"),
        back=back,
        back_text=hold.vehicle.unit_number,
        said=_("Lifted."),
        template="hold/lift.html",
        grave=True,
        more={"hold": hold, "dry_steer": rules("method").get("dry_steer")},
    )

    def verb(ask: Any) -> Any:
        said = form.cleaned_data
        check = Check(said["dry_steer"], said["note"], said["how"])
        return lift_hold(ask.actor, hold.pk, check, at=ask.at, request=ask.request)

    with timezone.override(zone_of(hold.vehicle.yard)):
        return form_page(request, form, sheet, verb, lambda _hold: back)
