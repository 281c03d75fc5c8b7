"""One plain sentence a pattern: the one source of it for every screen, paper and endpoint."""

from typing import Any

from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from fleet.reads.patterns.chances import times
from fleet.reads.patterns.kinds import KINDS, MISSED, REPEAT, TOE_DRIFT, WORSENING
from fleet.reads.patterns.members import Names, duty_words
from fleet.records.models import Clock, Pattern

#: By kind, what came loose more often than it should.
_LOOSE: dict[str, Any] = {
    "joint": _("%(name)s, came loose %(times)s as often as like joints do."),
    "tool": _(
        "What %(name)s tightened came loose %(times)s as often as like joints tightened with "
        "other tools."
    ),
    "lot": _(
        "Joints with parts of lot %(name)s came loose %(times)s as often as like joints with "
        "other parts."
    ),
    "part": _(
        "Joints with part %(name)s came loose %(times)s as often as like joints with other parts."
    ),
    "practice": _(
        "Joints tightened this way (%(name)s) came loose %(times)s as often as like joints "
        "tightened otherwise."
    ),
    "yard": _("Joints at %(name)s came loose %(times)s as often as like joints at other yards."),
    "yard_duty": _(
        "Joints of vehicles on %(duty)s duty at %(yard)s came loose %(times)s as often as like "
        "joints elsewhere."
    ),
}
#: And what wore out sooner.
_WORN: dict[str, Any] = {
    "joint": _("%(name)s, was found with play %(times)s as often as like joints are."),
    "lot": _(
        "Parts of lot %(name)s were found with play %(times)s as often as other parts at like "
        "joints."
    ),
    "part": _(
        "Part %(name)s was found with play %(times)s as often as other parts at like joints."
    ),
    "yard": _(
        "Joints at %(name)s were found with play %(times)s as often as like joints at other yards."
    ),
    "yard_duty": _(
        "Joints of vehicles on %(duty)s duty at %(yard)s were found with play %(times)s as often "
        "as like joints elsewhere."
    ),
}
#: What one vehicle does more and more, or more than others.
_OF_VEHICLE: dict[str, Any] = {
    WORSENING: _(
        "On %(unit)s joints come loose %(times)s as often as they used to, beyond what its checks "
        "explain."
    ),
    TOE_DRIFT: _(
        "Toe on %(unit)s does not stay: it is found away from where it was left %(times)s as often "
        "as on other vehicles."
    ),
}


def sentence(pattern: Pattern, names: Names) -> str:
    """What it says, without a figure that needs explaining."""
    if pattern.kind == REPEAT:
        return _again(pattern)
    said = pattern.statistic
    if pattern.kind == MISSED:
        return _missed(pattern, names)
    if pattern.kind in _OF_VEHICLE:
        unit = _unit(pattern, names)
        return str(_OF_VEHICLE[pattern.kind]) % {"unit": unit, "times": _often(pattern)}
    text = (_WORN if said.get("clock") == Clock.WEAR else _LOOSE).get(pattern.kind)
    if text is None:
        return str(KINDS.get(pattern.kind, pattern.kind))
    return str(text) % {"times": _often(pattern), **_named(pattern, names)}


def _often(pattern: Pattern) -> str:
    """The ratio; where it has no end, as much as can be said."""
    ratio = pattern.statistic.get("ratio")
    return times(float("inf") if ratio is None else float(ratio))


def _named(pattern: Pattern, names: Names) -> dict[str, str]:
    label, member = str(pattern.statistic["label"]), str(pattern.statistic["member"])
    elsewhere = gettext("a yard that is not yours")
    if label == "yard_duty":
        yard, _bar, duty = member.partition("|")
        return {"yard": names.of("yard", yard) or elsewhere, "duty": duty_words(duty)}
    name = names.of(label, member)
    if not name and pattern.joint is not None and pattern.vehicle is not None:
        name = place_of(pattern)
    return {"name": name or elsewhere}


def place_of(pattern: Pattern) -> str:
    """'track bar, frame end, on AB-07', for what is about one joint."""
    joint, vehicle = pattern.joint, pattern.vehicle
    if joint is None or vehicle is None:
        return ""
    return gettext("%(joint)s, on %(unit)s") % {"joint": joint.name, "unit": vehicle.unit_number}


def _unit(pattern: Pattern, names: Names) -> str:
    if pattern.vehicle is not None:
        return pattern.vehicle.unit_number
    name = names.of("vehicle", str(pattern.statistic.get("member", "")))
    return name or gettext("a vehicle at a yard that is not yours")


def _missed(pattern: Pattern, names: Names) -> str:
    told = {**_named(pattern, names), "times": _often(pattern)}
    if pattern.statistic["label"] == "yard_duty":
        text = gettext(
            "Rechecks of vehicles on %(duty)s duty at %(yard)s are missed %(times)s as often as "
            "elsewhere."
        )
        return text % told
    text = gettext("Rechecks at %(name)s are missed %(times)s as often as at other yards.")
    return text % told


def _again(pattern: Pattern) -> str:
    count, days = counted(pattern)
    if pattern.joint is None or pattern.vehicle is None:
        return str(KINDS[REPEAT])
    text = ngettext(
        "%(joint)s, on %(unit)s: found loose %(count)d time within %(days)d days "
        "after it had been tightened.",
        "%(joint)s, on %(unit)s: found loose %(count)d times within %(days)d days, "
        "each time after it had been tightened.",
        count,
    )
    return text % {
        "joint": pattern.joint.name,
        "unit": pattern.vehicle.unit_number,
        "count": count,
        "days": days,
    }


def counted(pattern: Pattern) -> tuple[int, int]:
    """How many finds, within how many days, by the working rule."""
    said = pattern.statistic
    return int(said.get("count", 0)), int(said.get("window_days", 0))


def not_apart(pattern: Pattern, names: Names) -> list[str]:
    """What the record can't tell from it, a sentence each."""
    said = pattern.statistic
    own = (str(said.get("label", "")), str(said.get("member", "")))
    others = [(str(o["label"]), str(o["member"])) for o in said.get("not_told_apart", [])]
    return [_not_apart(own, other, names) for other in others]


def _not_apart(own: tuple[str, str], other: tuple[str, str], names: Names) -> str:
    by_label = dict([own, other])
    if set(by_label) == {"tool", "yard"}:
        tool, yard = names.of("tool", by_label["tool"]), names.of("yard", by_label["yard"])
        if tool and yard:
            return gettext(
                "%(tool)s was used at %(yard)s and hardly anywhere else: the record can't tell "
                "the tool from the yard."
            ) % {"tool": tool, "yard": yard}
    return gettext("The record can't tell %(one)s from %(other)s: the two went together.") % {
        "one": names.called(*own),
        "other": names.called(*other),
    }
