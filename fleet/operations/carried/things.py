"""The people and the torque tools of a tablet's yard."""

from datetime import date
from typing import Any

from django.db.models import Q

from fleet.operations.tablets import of_the_yard
from fleet.records.models import Tablet, TabletKey, ToolComparison, TorqueTool, Yard


def people(tablet: Tablet) -> list[dict[str, Any]]:
    """Who belongs here; a key's id where they sign on this tablet."""
    keys: dict[int, str] = {}
    for person_id, uid in (
        TabletKey.objects.filter(tablet=tablet).order_by("id").values_list("person", "uid")
    ):
        keys[person_id] = str(uid)
    named = ("id", "username", "name", "role", "language", "units", "trained")
    rows = of_the_yard(tablet).order_by("name", "id")
    return [
        {name: getattr(who, name) for name in named} | {"key_id": keys.get(who.pk)} for who in rows
    ]


def tools(yard: Yard, today: date) -> list[dict[str, Any]]:
    """Every torque tool in use in the yard, with the days until which it can be believed."""
    agreed = ToolComparison.objects.filter(
        tool__yard=yard, agrees=True, good_until__gte=today
    ).order_by("id")
    compared: dict[int, list[dict[str, Any]]] = {}
    for row in agreed:
        until = row.good_until.isoformat() if row.good_until else None
        compared.setdefault(row.tool_id, []).append({
            "nm": row.figure_nm, "until": until, "from": row.occurred_at.isoformat(),
        })  # fmt: skip
    rows = TorqueTool.objects.filter(Q(yard=yard), in_use=True).order_by("code")
    return [_tool(tool, compared.get(tool.pk, [])) for tool in rows]


def _tool(tool: TorqueTool, compared: list[dict[str, Any]]) -> dict[str, Any]:
    return {
        "code": tool.code, "name": tool.name, "kind": tool.kind, "low_nm": tool.low_nm,
        "high_nm": tool.high_nm, "lever_m": tool.lever_m, "compared": compared,
        "good_until": tool.good_until.isoformat() if tool.good_until else None,
        "doubted_since": tool.doubted_since.isoformat() if tool.doubted_since else None,
    }  # fmt: skip
