"""An example for each calculator of the Reckoner. Figures are invented or common practice."""

from typing import Any

from drf_spectacular.utils import OpenApiExample

_BODIES: dict[str, tuple[str, dict[str, Any]]] = {
    "clamp-load": (
        "a figure on an invented light design's bolt",
        {"thread": "M10 x 1.5", "strength_class": "10.9", "condition": "oiled",
         "low": "40 lbf·ft", "tolerance": "4"},
    ),
    "slotted-nut": (
        "a slot that misses the hole",
        {"held_by": "slotted_bolt", "torque_now": "55 lbf·ft", "low": "50 lbf·ft",
         "high": "70 lbf·ft", "slots": "6", "to_next": "20"},
    ),
    "wrench-extension": (
        "a crow-foot on a half-inch wrench",
        {"torque_is": "fastener", "torque": "126 lbf·ft", "lever": "18 in", "extension": "3 in"},
    ),
    "toe": (
        "two tape readings",
        {"found_rear_1": "46 5/16", "found_front_1": "46 1/4", "span": "29 in",
         "spec_low": "0", "spec_high": "1/8 in"},
    ),
    "sleeve-turns": (
        "a sixteenth more toe-in",
        {"toe_now": "0", "toe_wanted": "1/16 in", "span": "29 in", "steering_arm": "7 in",
         "tie_rod": "behind", "thread": "18"},
    ),
    "wheel-center": (
        "ten degrees to the right",
        {"degrees_off": "10", "side": "right", "gear_ratio": "16", "pitman_arm": "6 in",
         "link": "left_behind", "thread": "18"},
    ),
    "toe-drift": (
        "two visits",
        {"as_left": "1/16 in", "as_found": "-1/8 in", "step": "1/16 in"},
    ),
    "bump-steer": (
        "a drop arm without a matching bracket",
        {"drag_across": "33 1/2 in", "drag_frame": "25 in", "drag_axle": "17 3/4 in",
         "bar_across": "33 1/2 in", "bar_frame": "24 in", "bar_axle": "21 5/8 in"},
    ),
    "play-limits": (
        "lash at a 16 in wheel",
        {"joint": "lash", "play": "2 1/8 in", "wheel_diameter": "16 in", "power": "yes"},
    ),
    "wheel-frequency": (
        "a shake at 45 mph",
        {"speed": "45 mph", "circumference": "94 in", "hertz": "8.4"},
    ),
    "vibration": (
        "a record, cut short here",
        {"record": "time,ax,ay,az,speed (mph)\n0.00,0.1,9.8,0.2,45\n0.01,0.2,9.7,0.1,",
         "circumference": "94 in"},
    ),
    "due-date": (
        "three readings",
        {"readings": "2026-09-02, 46,100\n2026-10-01, 47,180\n2026-11-04, 48,210",
         "unit": "mi", "target": "52,000", "as_of": "2026-11-25"},
    ),
    "units": ("a tape reading", {"kind": "length", "text": "46 5/16"}),
    "vin": ("a published example", {"vin": "1J9RP1A36A1644345"}),
}  # fmt: skip


def examples_of(calculator: str) -> list[OpenApiExample]:
    name, body = _BODIES[calculator]
    return [OpenApiExample(name, body, request_only=True)]
