"""Torque figures, ladders of rechecks and routine rules, as the Specs page shows them."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils.translation import gettext

from fleet.reads.clamp_checks import (
    ClampCheck,
    NutFactorRange,
    nut_factor_ranges,
    spec_check,
    with_factory,
)
from fleet.reads.rules import RuleNow, rules, stands
from fleet.records.models import Design, JointKind, Person, Recheck, TorqueSpec


@dataclass(frozen=True)
class SpecRow:
    """A figure, and what it does to its bolt."""

    spec: TorqueSpec
    check: ClampCheck


@dataclass(frozen=True)
class DesignSpecs:
    design: Design
    rows: list[SpecRow]

    @property
    def specs(self) -> list[TorqueSpec]:
        return [row.spec for row in self.rows]

    @property
    def flagged(self) -> list[SpecRow]:
        """Shop figures above the factory's that may pass proof load on the threads they name."""
        return [row for row in self.rows if row.check.warning]

    @property
    def alignment(self) -> list["Angle"]:
        """Toe, caster and camber as written, each with where it stands."""
        names = {"toe": gettext("Total toe"), "caster": gettext("Caster"),
                 "camber": gettext("Camber")}  # fmt: skip
        return [
            Angle(name, _written(self.design, what), getattr(self.design, f"{what}_source"))
            for what, name in names.items()
        ]


@dataclass(frozen=True)
class Angle:
    name: str
    typed: str
    source: str


def _written(design: Design, what: str) -> str:
    typed = str(getattr(design, f"{what}_typed"))
    return f"{typed}°" if typed and what != "toe" else typed


@dataclass(frozen=True)
class Rung:
    miles: float | None
    days: float | None
    hours: float | None
    methods: list[str]


@dataclass(frozen=True)
class LadderRow:
    """A rule of rechecks in words: after what, what is owed, and when."""

    name: str
    kind: str
    joints: list[str]
    rungs: list[Rung]
    source: str
    version: int


def specs(person: Person) -> QuerySet[TorqueSpec]:
    """Every current figure with the factory's beside it, the target first."""
    rows = with_factory(TorqueSpec.visible_to(person).filter(is_current=True))
    return rows.select_related("design", "kind", "set_by").order_by(
        "design__name", "kind__group", "kind__code", "-is_target", "origin"
    )


def designs_on_file(person: Person) -> list[Design]:
    """The designs that a torque figure is on file for, by name."""
    with_figures = TorqueSpec.visible_to(person).filter(is_current=True).values("design")
    return list(Design.visible_to(person).filter(pk__in=with_figures).order_by("name"))


def by_design(rows: Iterable[TorqueSpec]) -> list[DesignSpecs]:
    groups: dict[int, DesignSpecs] = {}
    for row in rows:
        group = groups.setdefault(row.design_id, DesignSpecs(row.design, []))
        group.rows.append(SpecRow(row, spec_check(row)))
    return list(groups.values())


def ranges_behind(groups: Iterable[DesignSpecs]) -> list[NutFactorRange]:
    """The ranges of K that the checks of these figures took, with where they are from."""
    worked_out = [row.spec for group in groups for row in group.rows if row.check.nut_factor]
    return nut_factor_ranges(spec.thread_condition for spec in worked_out)


def ladder_rows() -> list[LadderRow]:
    """The ladders in force; three queries."""
    kinds: dict[str, str] = {kind.code: kind.name for kind in JointKind.objects.all()}
    methods = {key: rule.name for key, rule in rules("method").items()}
    return [
        _ladder(rule, kinds, methods) for rule in rules("ladder").values() if "rungs" in rule.data
    ]


def routine_rows() -> list[LadderRow]:
    return [
        LadderRow(
            name=rule.name,
            kind="",
            joints=[],
            rungs=[_rung(rule.data, {})],
            source=rule.source,
            version=rule.version,
        )
        for rule in rules("routine").values()
        if stands(rule)
    ]


def _ladder(rule: RuleNow, kinds: dict[str, str], methods: dict[str, str]) -> LadderRow:
    named = rule.data.get("joints", [])
    codes = named if isinstance(named, list) else []
    kind = rule.data.get("kind", "")
    return LadderRow(
        name=rule.name,
        kind=str(Recheck.Kind(kind).label) if kind in Recheck.Kind.values else kind,
        joints=_names(codes, kinds),
        rungs=[_rung(step, methods) for step in rule.data["rungs"]],
        source=rule.source,
        version=rule.version,
    )


def _rung(step: dict[str, object], methods: dict[str, str]) -> Rung:
    names = step.get("methods") or []
    wanted = names if isinstance(names, list) else []
    return Rung(
        miles=_number(step.get("miles")),
        days=_number(step.get("days")),
        hours=_number(step.get("hours")),
        methods=_names(wanted, methods),
    )


def _names(codes: list[str], known: dict[str, str]) -> list[str]:
    return [known.get(code, code) for code in codes]


def _number(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None
