"""The week on paper: what is late and what falls due, with room for a pencil.

For a yard without a planner: it hangs on the wall, and what was done is typed in afterwards.
"""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils import formats, timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from fleet.calc.units import use_from_si
from fleet.papers import blocks
from fleet.papers.blocks import Block, Head
from fleet.papers.table import Cell, Column, Must
from fleet.reads.due import DueItem
from fleet.reads.due_page import Week
from fleet.reads.rules import RuleNow, rules
from fleet.records.models import Vehicle

# An empty cell to write in, where a dash would say that there is nothing.
PENCIL = "\N{NO-BREAK SPACE}"


def week_list(week: Week, units: str, at: datetime) -> bytes:
    """One document for the yards of the week, on A4 or letter; dates are those of the zone in
    force."""
    zone = ZoneInfo(str(timezone.get_current_timezone()))
    where = ", ".join(yard.name for yard in week.yards) or _("no yard")
    head = Head(_("Week list"), where, at, zone, units, wide=True)
    return blocks.document(head, [*_opening(week, at, zone), *_lists(week), *_meters(week.meters)])


def _opening(week: Week, at: datetime, zone: ZoneInfo) -> list[Block]:
    today = at.astimezone(zone).date()
    title = _("Week from %(day)s") % {"day": formats.date_format(today, "DATE_FORMAT")}
    count = len(week.late) + sum(len(items) for items in week.days.values())
    many = ngettext("%(n)d thing is owed.", "%(n)d things are owed.", count) % {"n": count}
    made = [blocks.heading(title, 1), blocks.text(f"{many} {_how()}", "soft"),
            blocks.text(blocks.governs(), "caution")]  # fmt: skip
    if week.more:
        words = ngettext(
            "%(n)d more line found no room here: print one yard at a time.",
            "%(n)d more lines found no room here: print one yard at a time.",
            week.more,
        ) % {"n": week.more}
        made.append(blocks.text(words, "must"))
    return made


def _how() -> str:
    return _(
        "Dates by use are projected and may come sooner. Write in what was done and found; what is "
        "not typed in afterwards stays owed. In use, read the meter before you start."
    )


def _lists(week: Week) -> list[Block]:
    methods = rules("method")
    made: list[Block] = []
    if week.late:
        made += [blocks.heading(_("Late: do these first")), _grid(week.late, methods)]
    for day, items in week.days.items():
        made += [blocks.heading(_day(day)), _grid(items, methods)]
    if not made:
        made.append(blocks.text(_("Nothing is late and nothing falls due within a week."), "soft"))
    return made


def _day(day: date) -> str:
    return _("%(weekday)s, %(day)s") % {
        "weekday": formats.date_format(day, "l"), "day": formats.date_format(day, "DATE_FORMAT"),
    }  # fmt: skip


def _grid(items: Sequence[DueItem], methods: Mapping[str, RuleNow]) -> Block:
    columns = [
        Column("vehicle", _("Vehicle"), width=1.0),
        Column("what", _("What"), width=2.1),
        Column("how", _("How"), width=1.5),
        Column("first", _("First of"), width=1.2),
        Column("who", _("Who"), width=1.0),
        Column("done", _("Done on, by"), width=1.1),
        Column("meter", _("Meter"), width=0.9),
        Column("found", _("Found, wrench, note"), width=2.0),
    ]
    return blocks.grid(columns, [_row(item, methods) for item in items], tall=True)


def _row(item: DueItem, methods: Mapping[str, RuleNow]) -> list[Cell]:
    row = item.recheck
    how = ", ".join(methods[code].name if code in methods else code for code in row.methods)
    what = f"{item.what}: {item.name}"
    if row.put_off_by:
        what += "; " + _("put off by %(who)s") % {"who": row.put_off_by.name}
    first = "; ".join(part for part in (_use(item), _date(row.due_on)) if part)
    return [row.vehicle.unit_number, what, how, Must(first) if item.late else first,
            item.assigned or PENCIL, PENCIL, PENCIL, PENCIL]  # fmt: skip


def _use(item: DueItem) -> str:
    use, unit = item.recheck.due_use_si, item.recheck.vehicle.meter_unit
    return "" if use is None else f"{round(use_from_si(use, unit)):,} {unit}"


def _date(day: date | None) -> str:
    return str(formats.date_format(day, "SHORT_DATE_FORMAT")) if day else ""


def _meters(vehicles: Sequence[Vehicle]) -> list[Block]:
    """Their dates mean little until somebody reads them."""
    if not vehicles:
        return []
    columns = [Column("vehicle", _("Vehicle")), Column("last", _("Last read")),
               Column("meter", _("Meter now")), Column("by", _("Read on, by"))]  # fmt: skip
    rows: list[list[Cell]] = [[one.unit_number, _last(one), PENCIL, PENCIL] for one in vehicles]
    return [blocks.heading(_("Read these meters")), blocks.grid(columns, rows, tall=True)]


def _last(vehicle: Vehicle) -> str:
    use = getattr(vehicle, "use", None)
    if use is None or use.last_at is None:
        return _("never read")
    return _date(use.last_at.astimezone(ZoneInfo(vehicle.yard.time_zone)).date())
