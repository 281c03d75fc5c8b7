"""The way from something owed to the page where it is done."""

from django import template
from django.urls import reverse
from django.utils.translation import gettext as _

from fleet.records.models import Person, Recheck

register = template.Library()


@register.inclusion_tag("due/do_it.html", takes_context=True)
def do_it(context: dict[str, object], recheck: Recheck) -> dict[str, str]:
    """A rack is work on a ticket; what is looked at already is driven; every other recheck is a
    sheet with its joints first."""
    person = getattr(context.get("frame"), "person", None)
    unit = recheck.vehicle.unit_number
    if not isinstance(person, Person):
        return {}
    if recheck.kind == Recheck.Kind.RACK:
        may = person.may("open_ticket")
        return {"url": reverse("ticket_new", args=[unit]), "text": _("Ticket")} if may else {}
    if not person.may("inspect"):
        return {}
    if recheck.road_test and recheck.looked_by_finding_id:
        return {"url": reverse("recheck_drive", args=[recheck.pk]), "text": _("Road test")}
    return {
        "url": f"{reverse('inspection_new', args=[unit])}?recheck={recheck.pk}",
        "text": _("Do it"),
    }
