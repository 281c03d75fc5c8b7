"""Due: the first fifty of everything owed."""

from typing import Any

from tests.bench.facts import Part
from tests.bench.shared_sql import LIVE, OWED, OWED_JOINS, words

SIZE = 50


def parts() -> list[Part]:
    return [
        Part(
            "owed",
            OWED,
            f"FROM records_recheck r {OWED_JOINS} WHERE r.state IN {LIVE} "
            f"ORDER BY r.falls_on, r.id LIMIT {SIZE}",
            lambda context: context["items"],
        ),
        Part(
            "number",
            {"count(*)": "count"},
            f"FROM records_recheck WHERE state IN {LIVE}",
            lambda context: [context["page"].paginator],
        ),
        words("ladder", "routine", "setting"),
        Part(
            "yards",
            {"slug": "slug", "name": "name"},
            "FROM records_yard ORDER BY name",
            lambda context: _choices(context, "yard"),
        ),
        Part(
            "people",
            {"id": "pk", "name": "name"},
            "FROM records_person WHERE role <> 'server' ORDER BY name",
            lambda context: _choices(context, "assigned_to"),
        ),
    ]


def _choices(context: Any, name: str) -> list[Any]:
    return list(context["filters"].form.fields[name].queryset)
