"""A design's linkage on file: what turns of its sleeves are worked out from.

Each figure is read as the Reckoner reads it, so that what is on file and what is typed there are
one thing.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from fleet.operations.errors import Problem
from fleet.operations.words import too_long
from fleet.reads.reckoning import centring, sleeve
from fleet.reads.reckoning.asked import US, Calculator
from fleet.reads.reckoning.given import Given
from fleet.records.models import Design

SENSES = {"": None, "right": True, "left": False}
PLACES = {"behind": False, "ahead": True}


@dataclass(frozen=True)
class Threads:
    """The two ends of a sleeve as written: '18' threads an inch, or '1.5 mm'."""

    thread: str = ""
    other_end: str = "left_hand"
    other_thread: str = ""


@dataclass(frozen=True)
class Linkage:
    """The linkage as written; what is empty is off file.

    `longer_link` says which way a longer drag link turns the steering wheel of a left-hand-drive
    vehicle with its road wheels held: "right", "left", or empty where gear and tie rod tell it.
    """

    tie_rod: str = "behind"
    steering_arm: str = ""
    sleeve: Threads = Threads()
    gear_ratio: str = ""
    pitman_arm: str = ""
    drag_sleeve: Threads = Threads()
    longer_link: str = ""
    source: str = ""


def columns(new: Linkage, problems: list[Problem]) -> dict[str, Any]:
    """The design's columns; every figure that can't be read is a problem beside its field."""
    rod = _Reader("tie_rod", sleeve.CALCULATOR, problems)
    link = _Reader("drag_link", centring.CALCULATOR, problems)
    found: dict[str, Any] = {
        "tie_rod_ahead": _one_of(PLACES, new.tie_rod, "tie_rod", problems),
        "steering_arm_m": rod.read("steering_arm", new.steering_arm, sleeve.arm),
        "steering_arm_typed": new.steering_arm.strip(),
        **rod.threads(new.sleeve),
        "gear_ratio": link.read("gear_ratio", new.gear_ratio, centring.ratio),
        "pitman_arm_m": link.read("pitman_arm", new.pitman_arm, centring.arm),
        "pitman_arm_typed": new.pitman_arm.strip(),
        **link.threads(new.drag_sleeve),
        "longer_link_turns_right": _one_of(SENSES, new.longer_link, "longer_link", problems),
        "linkage_source": new.source.strip(),
    }
    figures = (new.steering_arm, new.sleeve.thread, new.gear_ratio, new.pitman_arm,
               new.drag_sleeve.thread, new.longer_link)  # fmt: skip
    if any(text.strip() for text in figures) and not new.source.strip():
        message = _("Say where these stand, or who measured them.")
        problems.append(Problem("source_missing", message, field="linkage_source"))
    texts = {name: value for name, value in found.items() if isinstance(value, str)}
    problems += too_long(Design, texts)
    return found


def _one_of(known: dict[str, Any], said: str, field: str, problems: list[Problem]) -> Any:
    if said in known:
        return known[said]
    message = _("Choose one from the list.")
    problems.append(Problem(f"{field}_unknown", message, field=field))
    return None


@dataclass(frozen=True)
class _Reader:
    """Reads the figures of one link by the calculator that uses them."""

    link: str
    calculator: Calculator
    problems: list[Problem]

    def read(self, name: str, text: str, reader: Callable[[Given], Any]) -> Any:
        """One figure, or None where nothing was typed or it can't be read."""
        return self._of({name: text}, reader) if text.strip() else None

    def threads(self, typed: Threads) -> dict[str, Any]:
        """Columns of a sleeve's two ends: leads, and as typed."""
        first, other = typed.thread.strip(), typed.other_thread.strip()
        pair = None
        if first:
            asked = {"thread": first, "other_end": typed.other_end, "other_thread": other}
            pair = self._of(asked, sleeve.leads)
        elif other:
            message = _("Type the right-hand end's thread too.")
            self.problems.append(Problem("thread_missing", message, field=self._field("thread")))
        lead, second = pair or (None, None)
        return {
            f"{self.link}_lead_m": lead, f"{self.link}_other_lead_m": second,
            f"{self.link}_thread_typed": first, f"{self.link}_other_typed": other,
        }  # fmt: skip

    def _of(self, typed: dict[str, str], reader: Callable[[Given], Any]) -> Any:
        given = Given(self.calculator, typed, US)
        found = reader(given)
        self.problems.extend(
            Problem(one.code, one.message, field=self._field(one.field)) for one in given.problems
        )
        return None if given.problems else found

    def _field(self, name: str) -> str:
        """Two sleeves are on file: their fields carry the link's name."""
        shared = name in ("thread", "other_end", "other_thread")
        return f"{self.link}_{name}" if shared else name
