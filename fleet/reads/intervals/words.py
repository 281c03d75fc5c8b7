"""Intervals in plain words: which joints, what the record says of them, and what limits it."""

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from fleet.calc.interval import LEAST_FINDS, LEAST_VEHICLES
from fleet.calc.meter_text import meter_unit
from fleet.calc.proposal import rounded_down
from fleet.calc.units import use_from_si
from fleet.reads.intervals.cells import Meter
from fleet.records.models import Duty, IntervalProposal, ThreadCondition

_WHOLE_FROM = 100
_FIGURES = {"factory": _("factory figure"), "shop": _("shop figure")}


def unit_of(meter: str, units: str) -> str:
    if meter == Meter.HOURS:
        return "h"
    return "km" if units == "metric" else "mi"


def amount(use_si: float | None, meter: str, units: str) -> str:
    """'740 mi', '1,191 km', '9.6 h': whole from a hundred on."""
    if use_si is None:
        return ""
    unit = unit_of(meter, units)
    value = use_from_si(use_si, unit, 1)
    figure = f"{round(value):,}" if value >= _WHOLE_FROM else f"{float(value):g}"
    return f"{figure} {unit}"


def amount_both(use_si: float | None, meter: str, units: str) -> str:
    """'740 mi (1,191 km)': in the reader's unit, and as the other half of the trade has it."""
    if use_si is None or meter == Meter.HOURS:
        return amount(use_si, meter, units)
    other = "us" if units == "metric" else "metric"
    return f"{amount(use_si, meter, units)} ({amount(use_si, meter, other)})"


def about(use_si: float | None, meter: str, units: str) -> str:
    """The same to two digits, rounded down: what the record allows is known no better."""
    if not use_si:
        return ""
    per = float(meter_unit(unit_of(meter, units)).factor)
    return amount(rounded_down(use_si / per) * per, meter, units)


def cell_words(row: IntervalProposal) -> str:
    """'Track bar, axle end; four links; off-road; factory figure, dry; tightened again'."""
    told = {
        "kind": row.kind.name, "axle": _within(row.axle.name), "duty": Duty(row.duty).label,
        "practice": practice_words(row.practice),
        "which": gettext("as put together") if row.first else gettext("tightened again"),
    }  # fmt: skip
    return gettext("%(kind)s; %(axle)s; %(duty)s; %(practice)s; %(which)s") % told


def _within(name: str) -> str:
    """A name as it stands within a sentence."""
    return name[:1].lower() + name[1:]


def practice_words(practice: str) -> str:
    """'factory, dry' in the reader's words."""
    if not practice:
        return gettext("practice not recorded")
    threads = dict(ThreadCondition.choices)
    parts = [str(_FIGURES.get(one) or threads.get(one) or one) for one in practice.split(", ")]
    return ", ".join(parts)


def counted(row: IntervalProposal) -> str:
    """'3 finds on 2 vehicles'."""
    finds = ngettext("%(n)d find", "%(n)d finds", row.finds) % {"n": row.finds}
    vehicles = ngettext("%(n)d vehicle", "%(n)d vehicles", row.vehicles) % {"n": row.vehicles}
    return gettext("%(finds)s on %(vehicles)s") % {"finds": finds, "vehicles": vehicles}


def how_much_more(row: IntervalProposal) -> str:
    """'3 more finds, on 2 more vehicles' at least; empty where finds are not what is missing."""
    if row.missing not in ("too_few_finds", "too_few_vehicles"):
        return ""
    vehicles = max(0, LEAST_VEHICLES - row.vehicles)
    finds = max(LEAST_FINDS - row.finds, vehicles)
    told = ngettext("%(n)d more find", "%(n)d more finds", finds) % {"n": finds}
    if vehicles:
        where = ngettext("on %(n)d more vehicle", "on %(n)d more vehicles", vehicles)
        told = f"{told}, {where % {'n': vehicles}}"
    return gettext("Missing at least: %(more)s.") % {"more": told}


def lacking(row: IntervalProposal, units: str) -> str:
    """What is missing before anything can be proposed, and how much more of it."""
    said = {
        "counted": counted(row), "finds": LEAST_FINDS, "vehicles": LEAST_VEHICLES,
        "have": amount(row.have, row.meter, units), "need": amount(row.need, row.meter, units),
    }  # fmt: skip
    return str(_lacking(row)) % said


def _lacking(row: IntervalProposal) -> str:
    match row.missing:
        case "too_few_finds" | "too_few_vehicles" | "no_finds" | "no_spells":
            return gettext(
                "too little: %(counted)s, %(finds)d finds on %(vehicles)d vehicles are needed"
            )
        case "past_seen":
            return gettext(
                "looks came too soon: no joint was found tight past %(have)s since it was turned, "
                "and the interval begins at %(need)s"
            )
        case "never_tight":
            return gettext("looks came too late: every joint was loose at its first look")
        case "one_moment" | "falling":
            return gettext(
                "looks at one and the same use tell no curve: %(counted)s, and some looks sooner "
                "and some later are needed"
            )
        case _:
            return gettext("%(counted)s, and they differ too much to tell: more finds are needed")


def limited(row: IntervalProposal, units: str) -> list[str]:
    """What the interval could not be longer for, one sentence each."""
    told = {
        "seen": amount(row.longest_tight_si, row.meter, units),
        "allowed": about(row.allowed_si, row.meter, units),
    }
    why = {
        "profile": gettext("The number of finds limits it: with more of them the record may allow "
                           "more."),
        "resampled": gettext("Vehicles differ, and that limits it: finds on more vehicles would "
                             "tell more."),
        "longest_tight": gettext("No joint was found tight past %(seen)s since it was turned: only "
                                 "looks at longer use could tell more."),
    }  # fmt: skip
    step = {
        "half": gettext("One acceptance lengthens by half at most; the record would allow "
                        "%(allowed)s, and the next step can be offered after a month."),
        "floor": gettext("The record calls for %(allowed)s, but no interval falls under the floor "
                         "of the fleet's ladder."),
    }  # fmt: skip
    found = [step.get(row.held_back_by), why.get(row.limited_by)]
    return [text % told for text in found if text]
