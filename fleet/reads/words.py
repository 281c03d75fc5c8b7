"""Names for the codes that facts carry."""

from fleet.reads.rules import rules


def names_of(kind: str) -> dict[str, str]:
    """Code to name in the reader's language, for one kind of rule; one query."""
    return {key: now.name for key, now in rules(kind).items()}
