"""The way from something owed to the page where it is done."""

from django import template
from django.urls import reverse
from django.utils.translation import gettext as _

from fleet.reads.due import WEEK, DueItem
from fleet.records.models import Person, Recheck

register = template.Library()
PAIR = 2


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


@register.inclusion_tag("due/do_it.html", takes_context=True)
def one_sheet(
    context: dict[str, object], recheck: Recheck, together: dict[int, int]
) -> dict[str, str]:
    """What falls due together on a vehicle is one sheet."""
    person, count = (
        getattr(context.get("frame"), "person", None),
        together.get(recheck.vehicle_id, 0),
    )
    if not isinstance(person, Person) or not person.may("inspect") or count < PAIR:
        return {}
    text = _("One sheet for all %(n)d due") % {"n": count}
    address = reverse("inspection_new", args=[recheck.vehicle.unit_number])
    return {"url": f"{address}?due={WEEK}", "text": text}


@register.inclusion_tag("due/do_it.html", takes_context=True)
def put_off(context: dict[str, object], item: DueItem) -> dict[str, str]:
    """The way to put something off, or to take that back."""
    person = getattr(context.get("frame"), "person", None)
    if not isinstance(person, Person) or not person.may("assign_work"):
        return {}
    if item.recheck.put_off_by_id:
        return {"url": reverse("due_put_off_back", args=[item.recheck.pk]),
                "text": _("Take the put-off back")}  # fmt: skip
    if not item.may_put_off:
        return {}
    return {"url": reverse("due_put_off", args=[item.recheck.pk]), "text": _("Put off")}
