"""Examples of what changes a rule and what is owed, as the documentation shows them."""

from typing import Any

from drf_spectacular.utils import OpenApiExample


def request(name: str, value: dict[str, Any]) -> list[OpenApiExample]:
    """One request, by a name."""
    return [OpenApiExample(name, value, request_only=True)]


CHANGE_RULE = request(
    "a longer second step",
    {
        "steps": [
            {"distance": "100 mi", "days": "7", "hours": "5"},
            {"distance": "800 km", "days": "35", "hours": "22"},
        ],
        "reason": "By our record such bolts hold longer on gravel",
        "make_anew": False,
    },
)
EXCEPTION = request(
    "a truck that stands by",
    {
        "vehicle": "AB-12",
        "kind": "routine",
        "key": "routine",
        "steps": [{"distance": "5,000 mi", "days": "150", "hours": "160"}],
        "ends_on": "2027-01-31",
        "reason": "Stands by at the fairground",
    },
)
END_EXCEPTION = request("back to the rule", {"reason": "Back on the road"})
HAND_OVER = request("three lines to a technician", {"rechecks": [14, 15, 19], "assigned_to": 7})
PUT_OFF = request("two days later", {"until": "2026-12-02", "reason": "The shop is full"})
