"""A design's alignment: toe, caster and camber as the maker's service information has them."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from fleet.operations.alignment_specs import NewAlignment, Sides, set_alignment
from fleet.operations.linkage_specs import Linkage, Threads
from fleet.reads.linkage import other_end
from fleet.reads.reckoning.sleeve import ENDS, PLACES
from fleet.records.models import Design
from fleet.web.doors import in_scope, needs, reader
from fleet.web.forms import ActForm, Ask, Sheet, form_page, sent
from fleet.web.measures import SHORT
from fleet.web.tool import PLAIN

ANGLES = ("toe", "caster", "camber")
SOURCE = gettext_lazy("Service information, page.")


def _figure(label: Any, hint: Any = "") -> forms.CharField:
    widget = forms.TextInput(attrs=SHORT)
    return forms.CharField(
        label=label, help_text=hint, max_length=28, required=False, widget=widget
    )


def _source(label: Any) -> forms.CharField:
    widget = forms.TextInput(attrs=PLAIN)
    return forms.CharField(
        label=label, help_text=SOURCE, max_length=160, required=False, widget=widget
    )


def _one_of(label: Any, choices: Any, hint: Any = "") -> forms.ChoiceField:
    return forms.ChoiceField(label=label, help_text=hint, choices=choices, required=False)


THREAD = gettext_lazy("Threads an inch, like 18, or the pitch, like 1.5 mm.")
SAME = gettext_lazy("Leave empty where it is the same.")
SENSES = (
    ("", gettext_lazy("not said")),
    ("right", gettext_lazy("right")),
    ("left", gettext_lazy("left")),
)


class AlignmentForm(ActForm):
    """Both sides of each; what is left empty is off file."""

    toe_low = _figure(
        gettext_lazy("Total toe, low side"), gettext_lazy("Like 0 or 1/16 in; toe-out below zero.")
    )
    toe_high = _figure(gettext_lazy("Total toe, high side"), gettext_lazy("Like 1/8 in or 3 mm."))
    toe_source = _source(gettext_lazy("Where the toe stands"))
    caster_low = _figure(gettext_lazy("Caster, low side, degrees"), gettext_lazy("Like 3.0."))
    caster_high = _figure(gettext_lazy("Caster, high side, degrees"))
    caster_source = _source(gettext_lazy("Where the caster stands"))
    camber_low = _figure(
        gettext_lazy("Camber, low side, degrees"),
        gettext_lazy("Like -0.5; a wheel leaning in at the top is below zero."),
    )
    camber_high = _figure(gettext_lazy("Camber, high side, degrees"))
    camber_source = _source(gettext_lazy("Where the camber stands"))

    tie_rod = _one_of(gettext_lazy("The tie rod lies"), PLACES)
    steering_arm = _figure(
        gettext_lazy("Steering arm"),
        gettext_lazy(
            "From the steering axis to the line of the tie rod, square to it, like 6 1/4 in."
        ),
    )
    tie_rod_thread = _figure(gettext_lazy("Tie rod: thread of the right-hand end"), THREAD)
    tie_rod_other_end = _one_of(gettext_lazy("Tie rod: the other end"), ENDS)
    tie_rod_other_thread = _figure(gettext_lazy("Tie rod: thread of the other end"), SAME)
    gear_ratio = _figure(
        gettext_lazy("Ratio of the gear"),
        gettext_lazy("Degrees of wheel for one of the Pitman arm, like 16."),
    )
    pitman_arm = _figure(
        pgettext_lazy("a field", "Pitman arm"),
        gettext_lazy("From the sector shaft to the drag link, square to it, like 6 in."),
    )
    drag_link_thread = _figure(gettext_lazy("Drag link: thread of the right-hand end"), THREAD)
    drag_link_other_end = _one_of(gettext_lazy("Drag link: the other end"), ENDS)
    drag_link_other_thread = _figure(gettext_lazy("Drag link: thread of the other end"), SAME)
    longer_link = _one_of(
        gettext_lazy("A longer drag link turns the wheel"),
        SENSES,
        gettext_lazy(
            "Left-hand drive, road wheels held. A crossing linkage tells it by the tie rod's place."
        ),
    )
    linkage_source = _source(gettext_lazy("Where the linkage's figures stand"))

    def linkage(self) -> Linkage:
        said = self.cleaned_data
        rod, link = (
            Threads(*(said[f"{of}_{part}"] for part in ("thread", "other_end", "other_thread")))
            for of in ("tie_rod", "drag_link")
        )
        return Linkage(
            tie_rod=said["tie_rod"], steering_arm=said["steering_arm"], sleeve=rod,
            gear_ratio=said["gear_ratio"], pitman_arm=said["pitman_arm"], drag_sleeve=link,
            longer_link=said["longer_link"], source=said["linkage_source"],
        )  # fmt: skip

    def sides(self, what: str) -> Sides:
        said = self.cleaned_data
        return Sides(*(said[f"{what}_{part}"] for part in ("low", "high", "source")))


@needs("edit_specs")
def design_alignment(request: HttpRequest, design_id: int) -> HttpResponse:
    design = in_scope(Design.visible_to(reader(request)), pk=design_id)
    form = AlignmentForm(sent(request), initial=_on_file(design))
    back = reverse("specs")
    sheet = Sheet(
        title=_("Alignment: %(design)s") % {"design": design.name},
        button=_("Put it on file"),
        back=back,
        back_text=_("Specs"),
        said=_("On file."),
        template="spec/alignment.html",
    )

    def verb(ask: Ask) -> Any:
        sides = {what: form.sides(what) for what in ANGLES}
        new = NewAlignment(design.pk, **sides, linkage=form.linkage())
        return set_alignment(ask.actor, new, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, lambda _row: back)


def _written(design: Design, what: str) -> str:
    return str(getattr(design, f"{what}_typed")).replace(" to ", " – ")


def _on_file(design: Design) -> dict[str, str]:
    """As it was written, each side in its field."""
    found: dict[str, str] = {}
    for what in ANGLES:
        low, _dash, high = _written(design, what).partition(" – ")
        source = getattr(design, f"{what}_source")
        found |= {f"{what}_low": low, f"{what}_high": high, f"{what}_source": source}
    return found | _linkage_on_file(design)


def _linkage_on_file(design: Design) -> dict[str, str]:
    sense = {None: "", True: "right", False: "left"}[design.longer_link_turns_right]
    found = {
        "tie_rod": "ahead" if design.tie_rod_ahead else "behind",
        "steering_arm": design.steering_arm_typed,
        "gear_ratio": "" if design.gear_ratio is None else f"{design.gear_ratio:g}",
        "pitman_arm": design.pitman_arm_typed,
        "longer_link": sense,
        "linkage_source": design.linkage_source,
    }
    for of in ("tie_rod", "drag_link"):
        found |= {
            f"{of}_thread": getattr(design, f"{of}_thread_typed"),
            f"{of}_other_end": other_end(getattr(design, f"{of}_other_lead_m")),
            f"{of}_other_thread": getattr(design, f"{of}_other_typed"),
        }
    return found
