"""Which rules a manager may change, in which groups, and what each one is made of."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.reads.rules import WEIGHTS, RuleNow, by_weight, rules
from fleet.records.models import Duty, Recheck

STEPS, ONE_STEP, FLOOR, MONTHS, FIGURE = "steps", "one_step", "floor", "months", "figure"
TIME = "time"


@dataclass(frozen=True)
class Bounds:
    """A setting that is changed as a rule: what it may be at least and at most (own)."""

    least: float
    most: float
    unit: Any
    hint: Any = ""


SETTINGS = {
    "tool_interval_days": Bounds(
        1, 366, gettext_lazy("days"),
        gettext_lazy("ISO 6789 says 12 months unless your own procedure says otherwise."),
    ),
    "tool_interval_uses": Bounds(
        100, 20_000, gettext_lazy("uses"),
        gettext_lazy("ISO 6789 says 5,000 unless your own procedure says otherwise."),
    ),
    "tool_warning_days": Bounds(1, 90, gettext_lazy("days")),
    "stale_meter_days": Bounds(7, 180, gettext_lazy("days")),
}  # fmt: skip
ANNUAL = "annual"
# How many work at it is not the fleet's to say: one drives it in, and a dry steer takes two.
FIXED_PEOPLE = ("set_up", str(Recheck.Kind.DRY_STEER))


@dataclass(frozen=True)
class Shape:
    """One rule that may be changed: where it stands, and what its form asks."""

    kind: str
    key: str
    form: str
    group: str
    # None where a weight class has no rule of its own yet.
    now: RuleNow | None
    name: str

    @property
    def holds(self) -> bool:
        """What it makes holds the vehicle at twice its interval: never excepted."""
        return bool(self.now and self.now.data.get("hold_at_twice"))

    @property
    def version(self) -> int:
        return self.now.version if self.now else 0

    @property
    def rungs(self) -> list[dict[str, Any]]:
        """Its steps as they stand."""
        if self.now is None:
            return []
        data = self.now.data
        if self.form == FLOOR:
            return [data["floor"]]
        return list(data["rungs"]) if self.form == STEPS else [data]

    @property
    def excepted_as(self) -> str:
        """What an exception from it is kept under; empty where there can be none."""
        if self.holds or self.form not in (STEPS, ONE_STEP):
            return ""
        return str(Recheck.Kind.ROUTINE) if self.kind == "routine" else self.key


@dataclass(frozen=True)
class Group:
    key: str
    title: str
    rules: list[Shape]


def shapes() -> list[Shape]:
    """Every rule that may be changed, in the order of the page; four queries."""
    return [*_ladders(), *_routine(), *_settings(), *times()]


def shape_of(kind: str, key: str) -> Shape | None:
    """One of them; None for what is no such rule."""
    return next((one for one in shapes() if (one.kind, one.key) == (kind, key)), None)


def groups(found: Iterable[Shape]) -> list[Group]:
    """The rules by what they are about."""
    titles = {
        "repair": _("After a repair or a finding"),
        "cracks": _("Looks for cracks"),
        "alignment": _("Alignment follow-up"),
        "moved": _("After a fastener moved"),
        "routine": _("Routine looks, by duty"),
        "weight": _("Routine looks of one weight class"),
        "legal": _("Periodic inspection by law"),
        "tools": _("Torque tools"),
        "meters": _("Meters"),
        "minutes": _("Minutes that work takes"),
    }
    rows = list(found)
    made = [
        Group(key, name, [one for one in rows if one.group == key]) for key, name in titles.items()
    ]
    return [group for group in made if group.rules]


def _ladders() -> list[Shape]:
    groups_of = {Recheck.Kind.CRACKS: "cracks", Recheck.Kind.RACK: "alignment"}
    found = []
    for key, rule in rules("ladder").items():
        if "rungs" in rule.data:
            group = groups_of.get(rule.data["kind"], "repair")
            found.append(Shape("ladder", key, STEPS, group, rule, rule.name))
        elif "floor" in rule.data:
            found.append(Shape("ladder", key, FLOOR, "moved", rule, rule.name))
    return found


def _routine() -> list[Shape]:
    on_file = rules("routine")
    by_duty, by_class = [], []
    for duty in Duty.values:
        if duty not in on_file:
            continue
        rule = on_file[duty]
        by_duty.append(Shape("routine", duty, ONE_STEP, "routine", rule, rule.name))
        for weight in WEIGHTS:
            key = by_weight(duty, weight)
            name = weight_name(rule, weight)
            by_class.append(Shape("routine", key, ONE_STEP, "weight", on_file.get(key), name))
    legal = [Shape("routine", ANNUAL, MONTHS, "legal", on_file[ANNUAL], on_file[ANNUAL].name)
             for _once in (1,) if ANNUAL in on_file]  # fmt: skip
    return [*by_duty, *by_class, *legal]


def weight_name(duty: RuleNow, weight: str) -> str:
    """'Gravel, 26,001 lb and over'."""
    return _("%(duty)s, %(weight)s") % {"duty": duty.name, "weight": WEIGHTS[weight][1]}


def _settings() -> list[Shape]:
    on_file = rules("setting")
    return [
        Shape("setting", key, FIGURE, "meters" if key == "stale_meter_days" else "tools",
              on_file[key], on_file[key].name)
        for key in SETTINGS
        if key in on_file
    ]  # fmt: skip


def times() -> list[Shape]:
    """What the plan reckons work to take; one query."""
    return [
        Shape("minutes", key, TIME, "minutes", rule, rule.name)
        for key, rule in rules("minutes").items()
    ]
