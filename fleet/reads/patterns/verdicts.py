"""Did it help: what the record since says, in words."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext, ngettext

from fleet.calc.clusters import Verdict
from fleet.reads.patterns.chances import figure
from fleet.records.models import Pattern


def verdict_words(pattern: Pattern) -> str:
    """Predicted and seen, and what follows from them; empty where nothing was judged."""
    said: Mapping[str, Any] = pattern.verdict
    if not said.get("verdict"):
        return ""
    seen = int(said.get("seen") or 0)
    found = ngettext("%(n)d find was seen", "%(n)d finds were seen", seen) % {"n": seen}
    counts = {"predicted": figure(float(said.get("predicted") or 0.0)), "found": found}
    words = {
        Verdict.HELPED.value: gettext(
            "It helped. Since it was acted on, %(predicted)s finds were to be expected if it had "
            "not, and %(found)s."
        ),
        Verdict.DID_NOT_HELP.value: gettext(
            "It did not help. Since it was acted on, %(predicted)s finds were to be expected if "
            "nothing had changed, and %(found)s. Look for the cause again."
        ),
        Verdict.NOT_CLEAR.value: gettext(
            "It is not clear yet. Since it was acted on, %(predicted)s finds were to be expected "
            "if nothing had changed, and %(found)s: fewer, but luck does that now and then."
        ),
        Verdict.TOO_EARLY.value: gettext(
            "It is too early to say. The checks since it was acted on would have found only "
            "%(predicted)s if nothing had changed, and %(found)s. It takes 3 to tell."
        ),
    }
    return words.get(str(said["verdict"]), "") % counts
