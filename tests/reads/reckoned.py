"""What the tests of the Reckoner share: one whole question for each calculator."""

from datetime import date

import numpy as np

from fleet.reads.reckoning import reckon
from fleet.reads.reckoning.answers import Answer, Figure, Unclear
from tests.calc.shakes import RoadTest, clock, recorded, tone, wheel_shake

TODAY = date(2026, 11, 25)
CIRCUMFERENCE = "2400 mm"


def record_text(test: RoadTest, *, speed: bool = True) -> str:
    """A road test as a logger writes it."""
    names = "time,ax,ay,az,speed (m/s)" if speed else "time,ax,ay,az"
    rows = [names]
    for time, axes, fast in zip(test.time, test.acceleration, test.speed, strict=True):
        cells = [f"{time:.4f}", *(f"{value:.3f}" for value in axes)]
        if speed:
            cells.append("" if np.isnan(fast) else f"{fast:.2f}")
        rows.append(",".join(cells))
    return "\n".join(rows)


def road_test(cause: str, seconds: float = 30, rate: float = 100) -> RoadTest:
    """A shake of the wheel or of the axle while speed falls."""
    rng = np.random.default_rng([20261125, len(cause)])
    time = clock(rng, seconds, rate)
    speed = 28 - 10 * time / seconds
    shake = wheel_shake(time, speed) if cause == "wheel" else tone(time, 8.3)
    return recorded(rng, time, shake, speed)


WHOLE: dict[str, dict[str, str]] = {
    "clamp-load": {"thread": "M10 x 1.5", "strength_class": "10.9", "condition": "anti_seize",
                   "low": "60 lbf·ft", "factory_low": "40 lbf·ft"},
    "slotted-nut": {"torque_now": "55", "low": "50", "high": "70", "slots": "6", "to_next": "20",
                    "thread": "M16 x 1.5"},
    "wrench-extension": {"torque": "126", "lever": "18", "extension": "3"},
    "toe": {"found_rear_1": "46 5/16", "found_front_1": "46 1/4", "found_rear_2": "46 5/16",
            "found_front_2": "46 1/4", "left_rear_1": "46 3/8", "left_front_1": "46 1/4",
            "span": "29", "spec_low": "0", "spec_high": "1/8"},
    "sleeve-turns": {"toe_now": "0", "toe_wanted": "1/16", "span": "29", "steering_arm": "7",
                     "thread": "18"},
    "wheel-center": {"degrees_off": "10", "gear_ratio": "15", "pitman_arm": "6", "thread": "18"},
    "toe-drift": {"as_left": "1/16", "as_found": "-1/8"},
    "bump-steer": {"drag_across": "33 1/2", "drag_frame": "25", "drag_axle": "17 3/4",
                   "bar_across": "33 1/2", "bar_frame": "24", "bar_axle": "21 5/8",
                   "steering_arm": "7", "pitman_arm": "6", "gear_ratio": "16"},
    "play-limits": {"joint": "lash", "play": "2 1/8", "wheel_diameter": "16"},
    "wheel-frequency": {"speed": "45", "circumference": "94", "hertz": "8.4"},
    "vibration": {"record": record_text(road_test("wheel")), "circumference": CIRCUMFERENCE},
    "due-date": {"readings": "2026-09-02, 46,100\n2026-10-01, 47,180\n2026-11-04, 48,210",
                 "target": "52,000"},
    "units": {"kind": "length", "text": "46 5/16"},
    "vin": {"vin": "1J9RP1A36A1644345"},
}  # fmt: skip


def ask(calculator: str, units: str = "us", **typed: str) -> Answer:
    return reckon(calculator, typed, units=units, today=TODAY)


def whole(calculator: str, **changed: str) -> Answer:
    """The whole question, with some of it typed otherwise."""
    return ask(calculator, **(WHOLE[calculator] | changed))


def wrongs(calculator: str, units: str = "us", **typed: str) -> dict[str, str]:
    """Field and code of everything that can't be used as typed."""
    try:
        ask(calculator, units, **typed)
    except Unclear as unclear:
        return {problem.field: problem.code for problem in unclear.problems}
    return {}


def figure(answer: Answer, key: str) -> Figure:
    return next(one for one in answer.figures if one.key == key)


def shown(answer: Answer, key: str) -> list[str]:
    """A figure as it is written, in each of its units."""
    return [f"{one.shown} {one.unit}".strip() for one in figure(answer, key).amounts]


def cautions(answer: Answer) -> set[str]:
    return {said.code for said in answer.cautions}
