"""What the frame of every page needs: who reads it, and where they may go."""

from dataclasses import dataclass, field
from typing import Any

from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from fleet.records.models import Person

# Label, url name, ability. A screen that is not built yet has no url and does not show.
_NAV = [
    (_("Yard"), "yard", "view_history"),
    (_("Vehicles"), "vehicles", "view_vehicle"),
    (_("Tickets"), "ticket_list", "view_history"),
    (_("Due"), "due", "view_due"),
    (_("Plan"), "plan", "view_plan"),
    (_("Patterns"), "patterns", "view_patterns"),
    (_("Specs"), "specs", "view_specs"),
    (_("Reckoner"), "reckoner", "reckon"),
    (_("Reports"), "reports", "take_file"),
    (_("Trail"), "trail", "view_trail"),
    (pgettext_lazy("a screen that takes files", "Bring in"), "bring_in", "bring_in"),
]
# What is wanted now and then stands at the foot.
_FOOT = [
    (_("Guide"), "guide", "reckon"),
    (_("People"), "people", "edit_people"),
    (_("Tablets"), "tablets", "edit_tablets"),
    (_("Events out"), "webhooks", "send_events_out"),
    (_("Set up"), "set_up", "name_fleet"),
]


@dataclass(frozen=True)
class NavItem:
    url: str
    label: Any
    here: bool


@dataclass(frozen=True)
class Frame:
    person: Person | None
    nav: list[NavItem]
    at_settings: bool
    foot: list[NavItem] = field(default_factory=list)


def frame(request: HttpRequest) -> dict[str, Any]:
    person = getattr(request, "user", None)
    if person is None or not person.is_authenticated:
        return {"frame": Frame(None, [], False), "units": "us"}
    items, foot = (
        [item for entry in entries if (item := _nav_item(request.path, person, *entry))]
        for entries in (_NAV, _FOOT)
    )
    at_settings = request.path == reverse("settings")
    return {"frame": Frame(person, items, at_settings, foot), "units": person.units}


def _nav_item(path: str, person: Person, label: Any, name: str, ability: str) -> NavItem | None:
    if not person.may(ability):
        return None
    try:
        url = reverse(name)
    except NoReverseMatch:
        return None
    here = path == url if url == "/" else path.startswith(url)
    return NavItem(url, label, here or (name == "yard" and path.startswith("/yards/")))
