"""A rule changed: the next version stands, and the one before it stays on file."""

from typing import Any

from fleet.operations.work import Work
from fleet.records.models import Rule


def next_version(
    work: Work, kind: str, key: str, data: dict[str, Any], row: Rule | None, reason: str = ""
) -> Rule:
    """Put `data` in force after the version in force now, or as the first."""
    if row is not None:
        Rule.objects.filter(pk=row.pk).update(is_current=False)
    return Rule.objects.create(
        kind=kind, key=key, version=row.version + 1 if row else 1, data=data, since=work.at,
        set_by=work.actor.person, reason=reason,
    )  # fmt: skip


def new_value(work: Work, key: str, value: Any, row: Rule | None) -> Rule:
    """Give a setting another value."""
    data: dict[str, Any] = {**(row.data if row else {"unit": "text", "source": "own"})}
    return next_version(work, "setting", key, {**data, "value": value}, row)
