"""A torque figure on file, or one that was pulled, checked for clamp load by `reckoning.clamp`.

A check is about clamp load only: a verdict with its figures, a refusal where T = K d F does not
hold, or why nothing can be said. It calls no joint good.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.translation import gettext_lazy as _

from fleet.calc.bolts import Fastener, refusal
from fleet.calc.fastener_tables import NUT_FACTORS
from fleet.calc.fastener_text import FastenerTextError
from fleet.reads.cited import cited
from fleet.reads.reckoning import clamp, why
from fleet.reads.reckoning.answers import Amount, Answer, Figure, Said
from fleet.reads.reckoning.asked import US
from fleet.records.models import ThreadCondition, TorqueSpec

Band = clamp.Band
#: What a reading of a wrench in date may be off by, as everywhere here.
TOLERANCE = clamp.TOLERANCE

UNKNOWN: dict[str, Any] = {
    "no_thread_on_file": _("Nothing can be said: no thread is on file."),
    "no_class_on_file": _("Nothing can be said: no class or grade is on file."),
    "fastener_unread": _("Nothing can be said: “%(text)s” is not read as a fastener: %(why)s."),
}
#: The verdicts and refusals in a few words, as a table has room for.
SHORT: dict[str, Any] = {
    "loose": _("loose"),
    "in_range": _("between the bounds"),
    "high": _("high"),
    "may_pass_proof": _("may pass proof load"),
    "past_proof": _("past proof load"),
    "no_thread_on_file": _("no thread on file"),
    "no_class_on_file": _("no class on file"),
    "fastener_unread": _("thread or class not understood"),
    "tapered_stud": _("tapered stud: the taper takes the torque"),
    "tapered_shaft": _("the nut draws a taper home"),
    "clamp": _("the torque bends the clamp"),
    "hub_nut": _("seats on a cone or loads a bearing"),
    "adjusting_nut": _("sets end play, not a clamp load"),
    "to_yield": _("angle or to-yield bolt"),
    "no_thread": _("no thread carries it"),
    "prevailing": _("the nut itself takes the figure"),
}
_PASSES = "shop_above_factory"
_OWN_ONLY = ("factory", "anti_seize")


@dataclass(frozen=True)
class ClampCheck:
    """What is said of one torque figure; `answer` is as the Reckoner gives it."""

    answer: Answer

    @property
    def code(self) -> str:
        return self.answer.verdict.code

    @property
    def short(self) -> str:
        return str(SHORT[self.code])

    @property
    def unknown(self) -> bool:
        """Whether nothing can be said, for want of what is on file."""
        return self.code in UNKNOWN

    @property
    def warning(self) -> Said | None:
        """Above the factory's on threads that something eases, and it may pass proof load."""
        return next((said for said in self.answer.cautions if said.code == _PASSES), None)

    @property
    def flagged(self) -> bool:
        """What has to be told where only what matters is told."""
        return self.warning is not None or self.code == "past_proof"

    @property
    def nut_factor(self) -> Amount | None:
        figure = self.figure("nut_factor")
        return figure.amounts[0] if figure else None

    @property
    def origin(self) -> str:
        figure = self.figure("clamp_low")
        return figure.origin if figure else ""

    @property
    def proof(self) -> str:
        """What the share is of: the bolt's proof load."""
        figure = self.figure("clamp_low")
        return figure.limit.partition(";")[0] if figure else ""

    def figure(self, key: str) -> Figure | None:
        return next((one for one in self.answer.figures if one.key == key), None)

    def load(self, units: str) -> str:
        """'5,400 – 8,700 lbf', in the reader's unit."""
        low, high = self._ends(0 if units != US else 1)
        return f"{low.shown} – {high.shown} {high.unit}" if low and high else ""

    @property
    def share(self) -> str:
        """'50 – 75 % of proof'."""
        low, high = self._ends(2)
        return f"{low.shown} – {high.shown} {high.unit}" if low and high else ""

    def _ends(self, place: int) -> tuple[Amount, Amount] | tuple[None, None]:
        low, high = self.figure("clamp_low"), self.figure("clamp_high")
        return (low.amounts[place], high.amounts[place]) if low and high else (None, None)

    def beside(self, key: str, units: str) -> str:
        """The factory's figure, or one's own with anti-seize: load and share in one line."""
        figure = self.figure(key)
        if figure is None:
            return ""
        load, share = figure.amounts[0 if units != US else 1], figure.amounts[2]
        return f"{load.shown} {load.unit}, {share.shown} {share.unit}"

    @property
    def is_shop_dry(self) -> bool:
        """Whether it is told what the figure comes to once something eases the threads."""
        return self.figure("anti_seize") is not None

    @property
    def eased_passes(self) -> bool:
        """Whether one's own figure may pass proof load once anti-seize is on the threads."""
        figure = self.figure("anti_seize")
        return figure is not None and figure.grave


def with_factory(rows: QuerySet[TorqueSpec]) -> QuerySet[TorqueSpec]:
    """Figures with the factory's current one of the same joint beside them, in the same query."""
    factory = TorqueSpec.objects.filter(
        design=OuterRef("design"), kind=OuterRef("kind"), is_current=True,
        origin=TorqueSpec.Origin.FACTORY,
    )  # fmt: skip
    return rows.annotate(
        factory_low_nm=Subquery(factory.values("low_nm")[:1]),
        factory_high_nm=Subquery(factory.values("high_nm")[:1]),
    )


def factory_bands(specs: Iterable[TorqueSpec]) -> dict[tuple[int, int], Band]:
    """The factory's band by design and joint kind, for figures already read; one query."""
    asked = {spec.design_id for spec in specs}
    rows = TorqueSpec.objects.filter(
        design__in=asked, is_current=True, origin=TorqueSpec.Origin.FACTORY
    )
    return {
        (design, kind): (low, high)
        for design, kind, low, high in rows.values_list("design", "kind", "low_nm", "high_nm")
    }


def spec_check(spec: TorqueSpec) -> ClampCheck:
    """Check a figure on file, read `with_factory`."""
    low = getattr(spec, "factory_low_nm", None)
    factory = None if low is None else (low, getattr(spec, "factory_high_nm", low))
    shop = spec.origin == TorqueSpec.Origin.SHOP
    torque = (spec.low_nm, spec.high_nm)

    def judge(fastener: Fastener) -> Answer:
        if not shop:
            return clamp.judged(torque, fastener, spec.thread_condition)
        answer = clamp.judged(torque, fastener, spec.thread_condition, factory=factory or torque)
        eased = NUT_FACTORS[spec.thread_condition].lubricated
        left_out = {"factory"} if factory is None else set()
        return _without(answer, left_out | ({"anti_seize"} if eased else set()))

    return _checked(spec, judge)


def pull_check(
    torque: float, condition: str, spec: TorqueSpec | None, factory: Band | None
) -> ClampCheck | None:
    """Check a torque that was typed or pulled, newton metres, on the fastener of its figure.

    `condition` is of the threads as recorded; where nobody said, as the figure means them. None
    where no figure is on file, as no fastener is then either.
    """
    if spec is None or torque <= 0:
        return None
    threads = condition or spec.thread_condition
    if threads not in ThreadCondition.values:
        return None

    def judge(fastener: Fastener) -> Answer:
        answer = clamp.judged((torque, torque), fastener, threads, factory=factory)
        flagged = any(said.code == _PASSES for said in answer.cautions)
        return _without(answer, set() if flagged else set(_OWN_ONLY))

    return _checked(spec, judge)


def _without(answer: Answer, keys: set[str]) -> Answer:
    return replace(answer, figures=tuple(one for one in answer.figures if one.key not in keys))


def _checked(spec: TorqueSpec, judge: Callable[[Fastener], Answer]) -> ClampCheck:
    """Refused first, as that holds whatever the thread; then read the fastener and judge."""
    held = "angle" if spec.angle_degrees else clamp.held_as(spec.kind.code, spec.kind.held_by)
    if refused := refusal(held):
        return ClampCheck(clamp.refused_for(refused.code))
    if not spec.thread.strip():
        return _unknown("no_thread_on_file")
    if not spec.strength_class.strip():
        return _unknown("no_class_on_file")
    try:
        fastener = clamp.fastener_of(spec.thread, spec.strength_class, held)
    except FastenerTextError as error:
        return _unknown("fastener_unread", text=error.text, why=why.FASTENER[error.code])
    return ClampCheck(judge(fastener))


def _unknown(code: str, **words: Any) -> ClampCheck:
    said = Said(code, str(UNKNOWN[code]) % words)
    return ClampCheck(Answer(clamp.NAME, said, refused=True))


@dataclass(frozen=True)
class NutFactorRange:
    """The range of K taken for threads of one condition, and where it is from."""

    condition: str
    shown: str
    origin: str


def nut_factor_ranges(conditions: Iterable[str]) -> list[NutFactorRange]:
    """The ranges behind some figures, each once, in the order of the list of conditions."""
    used = set(conditions)
    return [
        NutFactorRange(str(label), f"{NUT_FACTORS[code].low:.2f} – {NUT_FACTORS[code].high:.2f}",
                       _origin(code))
        for code, label in ThreadCondition.choices
        if code in used
    ]  # fmt: skip


def _origin(code: str) -> str:
    known = NUT_FACTORS[code]
    note = str(clamp.NOTES[known.note]) if known.note else ""
    source = cited(known.citation)
    return f"{source}. {note}" if note else source
