"""A held vehicle moved to the yard only: decided, and over when it has arrived."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.operations.complain import speed_m_s
from fleet.operations.yard_moves import End, Leave, decide_move, end_move
from fleet.reads.days import zone_of
from fleet.reads.vehicles import holds_on
from fleet.reads.yard_moves import has_oscillated
from fleet.records.models import Vehicle, YardMove, YardMoveEnd
from fleet.web.about import about_vehicle
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, HoursField, MomentField, Sheet, form_page, sent
from fleet.web.measures import SHORT


class MoveForm(ActForm):
    """After an oscillation it asks why the vehicle is not towed."""

    route = forms.CharField(
        label=gettext_lazy("By which roads to the yard"),
        max_length=200,
        error_messages={"required": gettext_lazy("Say by which roads it goes to the yard.")},
    )
    speed_typed = forms.CharField(
        label=gettext_lazy("How fast at most"),
        help_text=gettext_lazy("Like 20 mph or 30 km/h."),
        widget=forms.TextInput(attrs=SHORT),
        max_length=30,
        error_messages={"required": gettext_lazy("Say how fast it may go at most, like 20 mph.")},
    )
    hours = HoursField()

    def __init__(self, data: Any, vehicle: Vehicle, *, oscillated: bool) -> None:
        super().__init__(data)
        self.vehicle = vehicle
        if oscillated:
            self.fields["why_not_towed"] = forms.CharField(
                label=_("Why it can't be towed"),
                widget=forms.Textarea(attrs={"rows": 2}),
                required=False,
                max_length=500,
            )
            self.fields["tow_ruled_out"] = forms.BooleanField(
                label=_("I have made sure that it can't be towed"), required=False
            )

    def readers(self) -> dict[str, Callable[[str], Any]]:
        return {"speed_typed": lambda typed: speed_m_s(typed, self.vehicle)}


@needs("decide_move")
@about_vehicle
def yard_move_new(request: HttpRequest, vehicle: Vehicle) -> HttpResponse:
    oscillated = has_oscillated(vehicle)
    form = MoveForm(sent(request), vehicle, oscillated=oscillated)
    back = reverse("vehicle", args=[vehicle.unit_number])
    sheet = Sheet(
        title=_("Move %(unit)s to the yard only") % {"unit": vehicle.unit_number},
        button=_("Let it be moved to the yard"),
        back=back,
        back_text=vehicle.unit_number,
        said=_("It may be moved to the yard and nowhere else. The hold stays."),
        template="move/new.html",
        grave=True,
        more={"vehicle": vehicle, "holds": holds_on(vehicle), "oscillated": oscillated},
    )

    def verb(ask: Any) -> Any:
        said = form.cleaned_data
        names = ("route", "speed_typed", "hours", "why_not_towed", "tow_ruled_out")
        leave = Leave(vehicle.pk, **{name: said[name] for name in names if name in said})
        return decide_move(ask.actor, leave, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _move: back)


class EndForm(ActForm):
    how = forms.ChoiceField(
        label=gettext_lazy("What is it?"),
        choices=[
            (YardMoveEnd.How.ARRIVED, gettext_lazy("It has arrived in the yard")),
            (YardMoveEnd.How.TAKEN_BACK, gettext_lazy("The leave is taken back")),
        ],
        widget=forms.RadioSelect(attrs={"class": "in-row"}),
        error_messages={
            "required": gettext_lazy("Say whether it has arrived or the leave is taken back.")
        },
    )
    occurred_at = MomentField(gettext_lazy("When it arrived"))
    note = forms.CharField(
        label=gettext_lazy("Why it is taken back, or what was noticed on the way"),
        required=False,
        max_length=300,
    )


@needs("end_move")
def yard_move_end(request: HttpRequest, move_id: int) -> HttpResponse:
    rows = YardMove.visible_to(reader(request)).select_related("vehicle__yard", "by", "end__by")
    move = in_scope(rows, pk=move_id)
    back = reverse("vehicle", args=[move.vehicle.unit_number])
    form = EndForm(sent(request))
    sheet = Sheet(
        title=_("End the leave to move %(unit)s") % {"unit": move.vehicle.unit_number},
        button=_("Record it"),
        back=back,
        back_text=move.vehicle.unit_number,
        said=_("The leave is over. The hold stays."),
        template="move/end.html",
        more={"move": move, "vehicle": move.vehicle, "now": timezone.now()},
    )

    def verb(ask: Any) -> Any:
        said = form.cleaned_data
        end = End(said["how"], said["note"], said["occurred_at"])
        return end_move(ask.actor, move.pk, end, at=ask.at, request=ask.request)

    with timezone.override(zone_of(move.vehicle.yard)):
        return form_page(request, form, sheet, verb, lambda _end: back)
