"""Clamp load from torque: low to high, its share of proof load, and what that says.

`judged` takes figures in SI, so that a torque spec or a ticket line is judged as the Reckoner
judges what is typed.
"""

from dataclasses import replace
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from fleet.calc import fasteners
from fleet.calc.bolts import Fastener, TorqueRefused, refusal
from fleet.calc.fastener_text import FastenerTextError, parse_class, parse_thread
from fleet.calc.fasteners import ShopFigure, assess_torque, shop_above_factory
from fleet.calc.torque_checks import TorqueCheck
from fleet.reads.cited import cited
from fleet.reads.reckoning import show, why
from fleet.reads.reckoning.answers import Amount, Answer, FieldProblem, Figure, Said
from fleet.reads.reckoning.asked import GOVERNS, NOT_JUDGED, Ask, Calculator
from fleet.reads.reckoning.given import Given, unread

NAME = "clamp-load"
Band = tuple[float, float]

TOLERANCE = 0.04

VERDICTS: dict[str, Any] = {
    "loose": gettext_lazy("Loose: even the high side stays under half of proof load."),
    "in_range": gettext_lazy(
        "Clamp load stays between the bounds: not all under half, none at nine tenths of proof "
        "load. That is about clamp load only; it calls no joint good."
    ),
    "high": gettext_lazy("High: the high side comes to nine tenths of proof load or more."),
    "may_pass_proof": gettext_lazy(
        "May pass proof load: the high side of the range does. A bolt that has is replaced."
    ),
    "past_proof": gettext_lazy(
        "Past proof load over the whole range. Do not use this figure on this bolt."
    ),
}

#: How a fastener is held, as a person at the bench says it.
HELD: tuple[tuple[str, Any], ...] = (
    ("bolt", gettext_lazy("Bolt with a plain or lock nut")),
    ("slotted_bolt", gettext_lazy("Straight bolt with a slotted nut")),
    ("u_bolt", gettext_lazy("U-bolt, each leg")),
    ("slotted_stud", gettext_lazy("Tapered stud: rod end, ball joint")),
    ("tapered_shaft", gettext_lazy("Nut that draws a taper: Pitman arm, draw key")),
    ("clamp", gettext_lazy("Clamp of a sleeve")),
    ("stud_nuts", gettext_lazy("Hub bolts, axle nut, wheel nuts")),
    ("adjusting_nut", gettext_lazy("Wheel-bearing adjusting nut")),
    ("angle", gettext_lazy("Angle or to-yield bolt")),
)
CONDITIONS: tuple[tuple[str, Any], ...] = (
    ("dry", gettext_lazy("dry")),
    ("oiled", gettext_lazy("oiled")),
    ("anti_seize", gettext_lazy("anti-seize")),
    ("threadlocker", gettext_lazy("threadlocker")),
)
NOTES: dict[str, Any] = {
    "plating_not_recorded": gettext_lazy(
        "What plating is on the threads was not asked: the range covers bare, black and zinc."
    ),
    "no_source": gettext_lazy(
        "No published range for threadlocker was read: it is taken from oiled to dry (own)."
    ),
}

#: Joint kinds on file as bolts, whose nut in truth draws a taper home.
_TAPERED = {"pitman_arm": "tapered_shaft", "kingpin_draw_keys": "tapered_shaft"}


def held_as(kind_code: str, held_by: str) -> str:
    """How a joint kind's fastener is held for this arithmetic: a Pitman arm sits on a taper."""
    return _TAPERED.get(kind_code, held_by)


def fastener_of(thread: str, strength_class: str, held_by: str) -> Fastener:
    """A fastener as a spec writes it; raises FastenerTextError."""
    found = parse_thread(thread)
    return Fastener(found, parse_class(strength_class, found.series), held_by)


def judged(
    torque: Band,
    fastener: Fastener,
    condition: str,
    *,
    tolerance: float = TOLERANCE,
    prevailing: float = 0.0,
    factory: Band | None = None,
) -> Answer:
    """Judge a torque band on a fastener, newton metres; with the factory's band beside it."""
    try:
        if factory is None:
            check = assess_torque(torque, fastener, condition, tolerance, prevailing)
            return _answer(check, fastener)
        found = shop_above_factory(torque, factory, fastener, condition, tolerance, prevailing)
    except TorqueRefused as refused:
        return refused_for(refused.code)
    answer = _answer(found.shop, fastener)
    figures = (*answer.figures, *_beside(found))
    return replace(answer, figures=figures, cautions=(*_flag(found), *answer.cautions))


def refused_for(code: str) -> Answer:
    """The answer where T = K d F does not hold."""
    return Answer(NAME, Said(code, str(why.REFUSED[code]), grave=True), refused=True)


def _answer(check: TorqueCheck, fastener: Fastener) -> Answer:
    proof = _("proof load %(load)s (%(bolt)s)") % {"load": show.load(check.proof), "bolt": fastener}
    shares = _("%(low)s %% to %(high)s %% of proof load") % {
        "low": show.percent(check.share_of_proof_low),
        "high": show.percent(check.share_of_proof_high),
    }
    grave = check.verdict in fasteners.AT_PROOF
    verdict = Said(check.verdict, f"{VERDICTS[check.verdict]} {shares}.", grave)
    of = _("T = K d F; %(citation)s") % {"citation": cited(check.citation)}
    past = check.verdict == "past_proof"
    figures = (
        Figure("clamp_low", _("Clamp load, low"),
               _carried(check.clamp_low, check.share_of_proof_low),
               _("%(proof)s; loose where even the high side is under 50 %% (own)") % {
                   "proof": proof}, of, past),
        Figure("clamp_high", _("Clamp load, high"),
               _carried(check.clamp_high, check.share_of_proof_high),
               _("%(proof)s; high from 90 %% (own)") % {"proof": proof}, of, grave),
        Figure("nut_factor", _("Nut factor K, low to high"),
               (Amount(f"{check.nut_factor_low:.2f} – {check.nut_factor_high:.2f}",
                       _("(no unit)")),), str(NOT_JUDGED), cited(check.citation)),
    )  # fmt: skip
    note = (Said(check.note, str(NOTES[check.note])),) if check.note else ()
    return Answer(NAME, verdict, figures, cautions=note)


def _carried(load: float, share: float) -> tuple[Amount, ...]:
    return (*show.loads(load), Amount(show.percent(share), _("% of proof"), 100 * share))


def _beside(found: ShopFigure) -> tuple[Figure, ...]:
    """The factory's own figure, and yours with anti-seize on the threads."""
    rows = (
        ("factory", _("Clamp load of the factory's figure"), found.factory),
        ("anti_seize", _("Clamp load of yours with anti-seize"), found.shop_if_lubricated),
    )
    return tuple(_between(key, label, check) for key, label, check in rows)


def _between(key: str, label: str, check: TorqueCheck) -> Figure:
    low, high = show.loads(check.clamp_low), show.loads(check.clamp_high)
    shares = show.percent(check.share_of_proof_low), show.percent(check.share_of_proof_high)
    amounts = (
        *(Amount(f"{a.shown} – {z.shown}", a.unit) for a, z in zip(low, high, strict=True)),
        Amount(" – ".join(shares), _("% of proof")),
    )
    limit = _("proof load %(load)s") % {"load": show.load(check.proof)}
    return Figure(
        key, label, amounts, limit, cited(check.citation), check.verdict in fasteners.AT_PROOF
    )


def _flag(found: ShopFigure) -> tuple[Said, ...]:
    if not found.above_factory:
        return ()
    if found.flagged:
        text = _(
            "Above the factory's figure, on threads that something eases, and it may pass proof "
            "load. If a joint keeps loosening, look at hole, bolt and bracket before adding torque."
        )
        return (Said("shop_above_factory", text, grave=True),)
    text = _(
        "Above the factory's figure. It can't be the target without changed hardware, a source and "
        "a manager's yes; anti-seize or oil on the threads raises the clamp load further."
    )
    return (Said("above_factory", text),)


def work(given: Given, today: date) -> Answer:
    held_by, condition = given.choice("held_by"), given.choice("condition")
    if refused := refusal(held_by):
        return refused_for(refused.code)
    fastener = _fastener(given, held_by)
    torque, factory = band(given, "low", "high"), band(given, "factory_low", "factory_high")
    percent = given.number("tolerance", 0, 50, words=("%",))
    prevailing = given.torque("prevailing") or 0.0
    given.settle()
    tolerance = TOLERANCE if percent is None else percent / 100
    return judged(
        given.must(torque), given.must(fastener), condition,
        tolerance=tolerance, prevailing=prevailing, factory=factory,
    )  # fmt: skip


def band(given: Given, low: str, high: str) -> Band | None:
    """One figure, or a low and a high side."""
    first, last = given.torque(low), given.torque(high)
    if first is not None and last is not None and last < first:
        given.wrong(high, "below_low", _("The high side is under the low side."))
        return None
    if first is None and last is not None:
        given.wrong(low, "low_missing", _("Type the low side too, or the one figure here alone."))
    return None if first is None else (first, first if last is None else last)


def _fastener(given: Given, held_by: str) -> Fastener | None:
    def thread(text: str, ask: Ask) -> Any:
        return _read(given, ask, lambda: parse_thread(text))

    def strength(text: str, ask: Ask) -> Any:
        series = found_thread.series if found_thread else "metric"
        return _read(given, ask, lambda: parse_class(text, series)) if found_thread else None

    found_thread = given.read("thread", thread)
    found_class = given.read("strength_class", strength)
    if found_thread is None or found_class is None:
        return None
    given.read_as("thread", found_thread.name)
    fastener = Fastener(found_thread, found_class, held_by)
    given.read_as("strength_class", str(fastener))
    return fastener


def _read(given: Given, ask: Ask, parse: Any) -> Any:
    try:
        return parse()
    except FastenerTextError as error:
        rest = error.text[error.position : error.position + 12].strip()
        message = unread(error.text, rest, why.FASTENER[error.code], error.hint)
        given.problems.append(FieldProblem(ask.name, error.code, message, error.hint))
        return None


_T: dict[str, Any] = {"kind": "torque", "example": "60 lbf·ft", "example_metric": "81 N·m"}
_BESIDE = gettext_lazy("If yours is not the factory's")
CALCULATOR = Calculator(
    NAME,
    gettext_lazy("Clamp load from torque"),
    gettext_lazy("What a figure on the wrench does to the bolt, over all that is not known of it."),
    (
        Ask("held_by", gettext_lazy("What is tightened"), "choice", choices=HELD, default="bolt"),
        Ask("thread", gettext_lazy("Thread"), example="M14 x 2", needed=True,
            hint=gettext_lazy("Or an inch thread, like 9/16-18.")),
        Ask("strength_class", gettext_lazy("Class or grade"), example="10.9", needed=True,
            hint=gettext_lazy("Or 8.8, 12.9; grade 2, 5 or 8 on inch threads.")),
        Ask("condition", gettext_lazy("Threads"), "choice", choices=CONDITIONS, default="dry"),
        Ask("low", gettext_lazy("Figure, or its low side"), needed=True, **_T),
        Ask("high", gettext_lazy("High side"), **_T),
        Ask("tolerance", gettext_lazy("Tool reads within"), "number", example="4", unit="%",
            default="4",
            hint=gettext_lazy("4 % above 10 N·m (ISO 6789, from memory, unverified).")),
        Ask("prevailing", gettext_lazy("Torque that turns a lock nut before it seats"),
            kind="torque", example="5 lbf·ft", example_metric="7 N·m"),
        Ask("factory_low", gettext_lazy("Factory's figure, or its low side"),
            group=_BESIDE, folded=True, **_T),
        Ask("factory_high", gettext_lazy("Factory's high side"),
            group=_BESIDE, folded=True, **_T),
    ),
    work,
    GOVERNS,
    gettext_lazy("T = K d F with a range of K for the threads; proof load by thread and class"),
)  # fmt: skip
