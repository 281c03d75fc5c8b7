"""Where figures come from, in the reader's language: the arithmetic itself knows none."""

from typing import Any

from django.utils.translation import gettext_lazy as _

from fleet.calc.fastener_tables import CLASSES, NUT_FACTORS

# As the arithmetic cites it, and the same for a reader.
SOURCES: dict[str, Any] = {
    NUT_FACTORS["dry"].citation: _(
        "Shigley 9e Table 8-15: zinc 0.20, nonplated black 0.30; a handbook has zinc dry at 0.295"
    ),
    NUT_FACTORS["oiled"].citation: _(
        "public engineering page: 0.15 to 0.20; Shigley 9e Table 8-15: lubricated 0.18"
    ),
    NUT_FACTORS["anti_seize"].citation: _(
        "public engineering page: 0.12 to 0.16; Shigley 9e Table 8-15: anti-seize 0.12"
    ),
    NUT_FACTORS["threadlocker"].citation: _(
        "no published range read: from oiled to dry taken whole (own)"
    ),
    CLASSES["8.8"].citation: _("ISO 898-1, proof stress (read in charts quoting it)"),
    CLASSES["5"].citation: _("SAE J429, proof stress (read in charts quoting it)"),
}


def cited(citation: str) -> str:
    """A citation, alone or among others, in the reader's language."""
    for source, words in SOURCES.items():
        citation = citation.replace(source, str(words))
    return citation
