"""How far the looking is: what each joint of a sweep came to, and the figure of all."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Case, CharField, Count, Q, QuerySet, Value, When
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from fleet.calc.proportion import Share, share_of
from fleet.records.inspections import SOUND
from fleet.records.models import FindingCode, Person, Recheck, Sweep, SweepJoint

S, Stands = Recheck.State, SweepJoint.Stands

#: What became of a joint, in the order shown: first what somebody still has to do.
BECAME: dict[str, Any] = {
    "left": _("not looked at yet"),
    "loose": _("found moved or loose"),
    "worse": _("found worn, cracked, bent or broken"),
    "tight": _("found tight"),
    "worked_on": _("tightened or replaced on a ticket"),
    "done_since": _("tightened since by a tool that is believed"),
    "gone": _("not there any more"),
}
LOOKED = ("loose", "worse", "tight", "worked_on")
LOOSE = (FindingCode.MOVED, FindingCode.PLAY)
WORSE = tuple(
    code for code in FindingCode
    if code not in (*LOOSE, *SOUND, FindingCode.NOT_REACHED, FindingCode.NOT_FITTED)
)  # fmt: skip


def sweeps(person: Person) -> QuerySet[Sweep]:
    """Every sweep, newest first, with what has become of its joints in this person's yards."""
    mine = SweepJoint.visible_to(person).values("pk")
    counts = {
        f"n_{name}": Count("joints", filter=Q(joints__in=mine) & rule)
        for name, rule in _rules("joints__").items()
    }
    rows = Sweep.visible_to(person).select_related("tool", "opened_by", "ended_by")
    return rows.annotate(**counts).order_by("-opened_at", "-id")


def _rules(path: str = "") -> dict[str, Q]:
    """By what it came to: the condition on a joint of a sweep. Each joint meets just one."""

    def q(**said: Any) -> Q:
        return Q(**{f"{path}{name}": value for name, value in said.items()})

    look = q(stands=Stands.LOOK)
    done = look & q(recheck__state=S.DONE)
    found = "recheck__done_by_finding__code"
    by_line = q(recheck__done_by_line__isnull=False)
    return {
        "left": look & q(recheck__state__in=Recheck.LIVE),
        "loose": done & q(**{f"{found}__in": LOOSE}),
        "worse": done & q(**{f"{found}__in": WORSE}),
        "tight": done & q(**{f"{found}__in": SOUND}),
        # A part replaced drops what was owed for the old one.
        "worked_on": (done & by_line) | (look & q(recheck__state=S.DROPPED)),
        "done_since": q(stands=Stands.DONE_SINCE),
        "gone": q(stands=Stands.GONE),
    }


def joints_of(person: Person, sweep: Sweep) -> QuerySet[SweepJoint]:
    """Its joints in this person's yards, what is still to do first, each with what it came to."""
    order = {name: place for place, name in enumerate(BECAME)}
    rules = _rules()
    rows = SweepJoint.visible_to(person).filter(sweep=sweep).select_related(
        "joint__kind", "joint__vehicle__yard", "joint__vehicle__use", "recheck__assigned_to",
        "recheck__done_by_finding", "recheck__done_by_line", "torque__tool", "part",
    )  # fmt: skip
    return rows.annotate(
        became=Case(
            *(When(rules[name], then=Value(name)) for name in BECAME), output_field=CharField()
        ),
        place=Case(*(When(rules[name], then=Value(place)) for name, place in order.items())),
    ).order_by("place", "joint__vehicle__yard__name", "joint__vehicle__unit_number", "id")


@dataclass(frozen=True)
class Progress:
    """How many joints came to what, and the share of those looked at that were loose."""

    counts: dict[str, int]

    @property
    def listed(self) -> int:
        return sum(self.counts.values())

    @property
    def to_look(self) -> int:
        return self.looked + self.counts["left"]

    @property
    def looked(self) -> int:
        return sum(self.counts[name] for name in LOOKED)

    @property
    def bad(self) -> int:
        return self.counts["loose"] + self.counts["worse"]

    @property
    def found(self) -> int:
        """Looked at by somebody who said how it was."""
        return self.bad + self.counts["tight"]

    @property
    def share(self) -> Share | None:
        """Of those whose state was told, how many were not sound; 95 % bounds."""
        return share_of(self.bad, self.found) if self.found else None

    @property
    def told(self) -> list[tuple[str, int]]:
        """Each that there is, in words."""
        return [(str(BECAME[name]), n) for name, n in self.counts.items() if n]


def progress_of(sweep: Any) -> Progress:
    """Of a sweep out of `sweeps`."""
    return Progress({name: getattr(sweep, f"n_{name}") for name in BECAME})


def figure_of(sweep: Sweep) -> dict[str, Any]:
    """What a sweep comes to over the whole fleet, for the record; one query."""
    counts = {name: Count("pk", filter=rule) for name, rule in _rules().items()}
    progress = Progress(SweepJoint.objects.filter(sweep=sweep).aggregate(**counts))
    share = progress.share
    bounds = {"low": round(share.low, 4), "high": round(share.high, 4)} if share else {}
    return {**progress.counts, "listed": progress.listed, "looked": progress.looked, **bounds}


def sentence(progress: Progress) -> str:
    """'Of 42 joints looked at, 6 were not sound: 14 of 100, likely between 5 and 29.'"""
    share = progress.share
    if share is None:
        return gettext("Nothing is looked at yet.")
    words = {
        "found": progress.found, "bad": progress.bad, "value": round(share.value * 100),
        "low": round(share.low * 100), "high": round(share.high * 100),
    }  # fmt: skip
    head = ngettext("Of %(found)s joint looked at", "Of %(found)s joints looked at", progress.found)
    return ngettext(
        "%(head)s, %(bad)s was not sound: %(value)s of 100, likely between %(low)s and %(high)s.",
        "%(head)s, %(bad)s were not sound: %(value)s of 100, likely between %(low)s and %(high)s.",
        progress.bad,
    ) % {**words, "head": head % words}
