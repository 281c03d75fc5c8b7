"""Examples that the document page shows. All vehicles and people in them are invented."""

from typing import Any

from drf_spectacular.utils import OpenApiExample


def _request(name: str, value: dict[str, Any]) -> list[OpenApiExample]:
    return [OpenApiExample(name, value, request_only=True)]


TOKEN = [
    OpenApiExample("a person", {"username": "manager", "password": "..."}, request_only=True),
    OpenApiExample("a token", {"token": "0123456789abcdef0123456789abcdef01234567"},
                   response_only=True, status_codes=["200"]),
]  # fmt: skip

COMPLAINT = _request(
    "whole axle oscillating",
    {
        "vehicle": "A-12",
        "kind": "axle_oscillation",
        "text": "Shook until I was nearly stopped, after the cattle guard.",
        "speed_typed": "45 mph",
        "after_bump": True,
        "stopped_only_when_slowed": True,
        "at": "2026-03-09T16:40:00-07:00",
    },
)

READING = _request(
    "an odometer", {"vehicle": "A-12", "meter": "48,210", "at": "2026-03-09T07:00:00-07:00"}
)

HOLD = _request("steering felt loose", {"vehicle": "A-12", "text": "Steering felt loose."})

FEED = _request("a yard", {"subject": "yard", "yard": "alder"})

WEBHOOK = _request(
    "a dispatch desk",
    {"name": "Dispatch", "address": "https://dispatch.example/axlekeep", "yard": "alder",
     "events": ["vehicle.held", "hold.lifted"]},
)  # fmt: skip
WEBHOOK_CHANGE = _request("switched off", {"is_on": False})
REPLAY = _request(
    "a day", {"since": "2026-03-09T00:00:00-07:00", "until": "2026-03-10T00:00:00-07:00"}
)

YARD_MOVE = _request(
    "home by the back road",
    {"vehicle": "A-12", "route": "County road 7, then the yard", "speed_typed": "20 mph",
     "hours": 2},
)  # fmt: skip

YARD_MOVE_END = _request("there", {"how": "arrived", "at": "2026-03-09T18:05:00-07:00"})

SELF_CHECK = _request(
    "alone at the yard", {"person": 7, "reason": "One mechanic here until Thursday."}
)

LIFT = _request(
    "checked",
    {"dry_steer": True, "note": "Every stud and both track-bar ends watched: no play seen."},
)

SHEET = _request(
    "play at the track bar",
    {
        "vehicle": "A-12",
        "kind": "complaint",
        "complaint": 31,
        "at_wheel": "the driver",
        "on_wheels": True,
        "engine_on": True,
        "meter": "48,260",
        "findings": [
            {"joint": 811, "code": "play", "method": "dry_steer", "play": "1/8 in"},
            {"joint": 812, "code": "no_play", "method": "dry_steer"},
        ],
    },
)

LINE_FIGURES = _request(
    "toe as it is read",
    {
        "figures": {
            "found_rear": "46 5/16", "found_front": "46 1/8", "toe_span": "29 in",
            "toe_basis": "spec",
        }
    },
)  # fmt: skip
ENTRY = _request(
    "a retorque",
    {
        "figures": {
            "torque": "60 lbf·ft",
            "tool": "AB-2",
            "turned": "yes",
            "degrees": "20",
            "thread_condition": "dry",
        }
    },
)

TICKET = _request(
    "with its first line",
    {
        "vehicle": "A-12",
        "title": "Axle oscillation after a bump",
        "complaint": 31,
        "lines": [{"action": "replace_track_bar", "joint": 811}],
    },
)

LINE = _request("set toe", {"action": "set_toe"})

CHECK = _request(
    "passed",
    {"passed": True, "dry_steer": True, "note": "Wheel swung by the driver, every joint watched."},
)

RELEASE = _request("one loop", {"driver": "the night ranger", "place": "Yard loop", "hours": 1})

ROAD_TEST = _request("passed", {"passed": True, "top_speed": "45 mph"})

DRIVE = _request(
    "passed",
    {
        "driver": "the night ranger",
        "place": "Yard loop, then the county road",
        "speeds": "20, 35, 45 mph",
        "passed": True,
    },
)

CLOSE = _request("done", {"outcome": "Frame end bolt and hole renewed; no play left."})

JUDGE = _request(
    "cause found",
    {"to": "looked_at", "text": "The hole at the axle end is oval: 9/16 in by 5/8 in."},
)

DECIDE_INTERVAL = _request("by the record", {"basis": "record", "reason": "The maker allows it."})

DECLINE_INTERVAL = _request("why", {"reason": "The maker's interval is 500 mi."})

OPEN_SWEEP = _request(
    "a torque tool that failed",
    {"of": "tool", "tool": "AB-07", "reason": "Reads 12 % high at its calibration."},
)

CLOSE_SWEEP = _request("what came of it", {"said": "All looked at; the tool is out of use."})

VEHICLE = _request(
    "a new truck",
    {
        "unit_number": "A-31",
        "design": "Foothill 3/4",
        "yard": "alder",
        "duty": "gravel",
        "meter_unit": "mi",
        "meter": "12",
        "model_year": 2025,
        "power_steering": True,
    },
)

CHANGE = _request("moved to another yard", {"yard": "cold-spring", "reason": "Winter work."})

YARD = _request(
    "a new yard",
    {"name": "Cold Spring", "time_zone": "America/Denver", "on_call_number": "555-0102", "bays": 2},
)

YARD_CHANGE = _request("a new number", {"on_call_number": "555-0103"})

PERSON = _request(
    "a new technician",
    {
        "username": "petra",
        "name": "Petra Holm",
        "role": "technician",
        "yards": ["alder"],
        "trained": True,
    },
)

PERSON_CHANGE = _request("trained now", {"trained": True})

REASON = _request("why", {"reason": "Opened on the wrong truck."})

ANSWER = _request("to the driver", {"text": "The bolt was loose. It is renewed and checked."})

READINGS = _request(
    "two readings",
    {
        "readings": [
            {"vehicle": "A-12", "meter": "48,210", "at": "2026-03-09T07:00:00-07:00"},
            {"vehicle": "M-3", "meter": "2,114.5", "at": "2026-03-09T07:05:00-07:00"},
        ]
    },
)
READINGS_DONE = [
    OpenApiExample("one of them was on file", {"added": 1, "on_file": 1, "repeated": 0},
                   response_only=True, status_codes=["201"]),
]  # fmt: skip

FITTING = _request("waiting for parts", {"to": "apart", "reason": "Bearing on order."})

FILE_REQUEST = _request(
    "an audit",
    {"vehicle": "A-12", "why": "Yearly audit of repairs.", "wanted_by": "2026-03-20",
     "since": "2025-03-01", "until": "2026-03-01"},
)  # fmt: skip

FILE_ANSWER = _request("on paper", {"text": "The printed history, 14 pages, at the office."})

ASSIGN = _request("to a technician", {"assigned_to": 7})

MOVE_VISIT = _request("to Monday, bay 2", {"day": "2026-11-30", "bay": 2, "pinned": True})

PIN_VISIT = _request("pinned", {"pinned": True})

ASK_PLAN = _request("two weeks", {"yard": "alder", "days": 14})

LOCK_DAY = _request("a day that people know of", {"day": "2026-11-30", "locked": True})
