"""A joint set apart, not fitted, or fitted again."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from fleet.operations.fittings import Fitting, may_leave_out, set_fitting
from fleet.reads.days import zone_of
from fleet.reads.joints import joints
from fleet.records.models import Joint, Person, Recheck
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, MomentField, Sheet, form_page, offer, sent

F = Joint.Fitted
CHOICES = {
    F.APART: gettext_lazy("Apart: taken apart, it waits for parts or for somebody"),
    F.NOT_FITTED: gettext_lazy("Not fitted: this vehicle has none"),
    F.FITTED: gettext_lazy("Fitted: it is in its place again"),
}


class FittingForm(ActForm):
    to = forms.ChoiceField(
        label=gettext_lazy("What it is now"),
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Choose what it is from the list.")},
    )
    reason = forms.CharField(
        label=gettext_lazy("Why"),
        max_length=200,
        error_messages={"required": gettext_lazy("Say why, in a few words.")},
    )
    occurred_at = MomentField()
    drop_owed = forms.BooleanField(required=False)

    def __init__(self, data: Any, joint: Joint, person: Person, owed: int) -> None:
        super().__init__(data)
        barred = set() if may_leave_out(person, joint.kind) else {F.NOT_FITTED}
        offered = [to for to in CHOICES if to != joint.fitted and to not in barred]
        offer(self, "to", [(to.value, CHOICES[to]) for to in offered])
        self.initial["to"] = offered[0].value if len(offered) == 1 else ""
        if F.NOT_FITTED in offered and owed:
            text = ngettext(
                "If it is not fitted: drop the %(n)d recheck it owes. It does not come back.",
                "If it is not fitted: drop the %(n)d rechecks it owes. They do not come back.",
                owed,
            )
            self.fields["drop_owed"].label = text % {"n": owed}
        else:
            del self.fields["drop_owed"]

    def clean(self) -> None:
        """What can't be undone is asked for once more."""
        said = self.cleaned_data
        if said.get("to") == F.NOT_FITTED and said.get("drop_owed") is False:
            self.add_error("drop_owed", _("Confirm that they are dropped."))


@needs("set_fitting")
def fitting_new(request: HttpRequest, unit_number: str, joint_id: int) -> HttpResponse:
    person = reader(request)
    rows = joints(person).filter(vehicle__unit_number=unit_number)
    joint = in_scope(rows, pk=joint_id)
    owed = Recheck.visible_to(person).filter(joint=joint, state__in=Recheck.LIVE).count()
    form = FittingForm(sent(request), joint, person, owed)
    back = reverse("joint", args=[unit_number, joint.pk])
    sheet = Sheet(
        title=_("%(joint)s: apart, not fitted or fitted again") % {"joint": joint.name},
        button=_("Record it"),
        back=back,
        back_text=joint.name,
        said=_("Recorded."),
        template="joint/fitting.html",
        more={"joint": joint, "vehicle": joint.vehicle},
    )

    def verb(ask: Ask) -> Any:
        said = form.cleaned_data
        new = Fitting(joint.pk, said["to"], said["reason"], said["occurred_at"])
        return set_fitting(ask.actor, new, at=ask.at, request=ask.request)

    with timezone.override(zone_of(joint.vehicle.yard)):
        return form_page(request, form, sheet, verb, lambda _row: back)
