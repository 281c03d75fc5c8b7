"""Wheel frequency, road-test records, units, VIN and due dates, as the bench asks."""

import numpy as np
import pytest

from tests.calc.shakes import clock, recorded, tone
from tests.reads.reckoned import (
    CIRCUMFERENCE,
    WHOLE,
    ask,
    cautions,
    figure,
    record_text,
    road_test,
    shown,
    whole,
    wrongs,
)


def test_a_wheel_turns_as_often_as_its_circumference_says() -> None:
    """45 mph over 94 in: 20.12 m/s over 2.388 m is 8.4 a second (computed)."""
    answer = whole("wheel-frequency")
    assert shown(answer, "hertz")[:2] == ["8.4 Hz, once a turn", "16.9 Hz, twice a turn"]
    assert answer.verdict.code == "once"
    assert "balance or run-out first" in answer.verdict.text
    assert "one_speed" in cautions(answer)
    assert [row[0] for row in answer.tables[0].rows] == ["30", "40", "50", "60", "70"]


@pytest.mark.parametrize(
    ("hertz", "code"), [("16.8", "twice"), ("25", "thrice"), ("6", "not_whole")]
)
def test_a_shake_is_named_by_its_order(hertz: str, code: str) -> None:
    assert whole("wheel-frequency", hertz=hertz).verdict.code == code


def test_a_diameter_stands_in_for_the_circumference_and_says_so() -> None:
    answer = ask("wheel-frequency", "metric", speed="72", tire_diameter="790")
    assert "from_diameter" in cautions(answer)
    assert answer.verdict.code == "no_shake"
    assert wrongs("wheel-frequency", speed="45") == {"tire_diameter": "missing"}
    assert wrongs("wheel-frequency", speed="45 knots", circumference="94") == {
        "speed": "unknown_unit"
    }


def test_a_shake_that_follows_the_wheels_is_theirs() -> None:
    answer = whole("vibration")
    assert answer.verdict.code == "follows_wheel_speed"
    assert "balance or run-out first" in answer.verdict.text
    assert "Doubt 0.1 %" in answer.verdict.text
    assert figure(answer, "order").amounts[0].value == pytest.approx(1, abs=0.02)
    assert [plot.key for plot in answer.plots] == ["spectrum", "follow"]


def test_a_shake_that_stays_as_speed_falls_is_axle_oscillation_and_holds() -> None:
    answer = whole("vibration", record=record_text(road_test("axle")))
    assert (answer.verdict.code, answer.verdict.grave) == ("stays_as_speed_falls", True)
    assert "Hold the vehicle" in answer.verdict.text
    assert figure(answer, "hertz").amounts[0].value == pytest.approx(8.3, abs=0.05)


@pytest.mark.parametrize("cause", ["wheel", "axle"])
def test_no_record_is_ever_a_clearance_to_drive(cause: str) -> None:
    answer = whole("vibration", record=record_text(road_test(cause)))
    assert "never_a_clearance" in cautions(answer)


def test_without_speed_the_frequency_is_told_and_the_cause_is_not() -> None:
    text = record_text(road_test("axle"), speed=False)
    answer = whole("vibration", record=text, speed="45 mph")
    assert answer.verdict.code == "no_speed"
    assert {"one_speed", "never_a_clearance"} <= cautions(answer)
    assert shown(answer, "order") == ["0.99 (no unit)"]
    assert whole("vibration", circumference="").verdict.code == "no_tire"


def test_noise_alone_says_nothing_and_clears_nothing() -> None:
    rng = np.random.default_rng(20261125)
    time = clock(rng, 20, 100)
    noise = recorded(rng, time, 0 * time, 20 + 0 * time)
    answer = whole("vibration", record=record_text(noise))
    assert answer.verdict.code == "no_clear_peak"
    assert "clears nothing" in answer.verdict.text


@pytest.mark.parametrize("rate", [50, 400])
def test_slow_and_fast_loggers_find_the_same(rate: int) -> None:
    rng = np.random.default_rng([20261125, rate])
    time = clock(rng, 20, rate)
    test = recorded(rng, time, tone(time, 7.1), 20 + 0 * time, missing=0.2)
    answer = whole("vibration", record=record_text(test))
    assert figure(answer, "hertz").amounts[0].value == pytest.approx(7.1, abs=0.05)
    assert answer.verdict.code == "speed_too_even"


@pytest.mark.parametrize(
    ("record", "code"),
    [
        ("time,ax\n0,1\n0.01,x", "not_a_number"),
        ("when,ax\n0,1", "unknown_column"),
        ("time,ax\n0,1\n0.01,2", "too_few_samples"),
        ("time,ax\n" + "\n".join(f"{n / 10},{n % 2}" for n in range(300)), "too_slow"),
    ],
)
def test_a_record_that_can_t_be_used_is_told_with_its_place(record: str, code: str) -> None:
    assert wrongs("vibration", record=record, circumference=CIRCUMFERENCE) == {"record": code}


def test_a_figure_is_read_in_every_unit_of_its_kind() -> None:
    answer = whole("units")
    assert shown(answer, "same") == [
        "46.3125 in", "3.8594 ft", "1,176.34 mm", "117.634 cm", "1.17634 m"
    ]  # fmt: skip
    assert "46 5/16 in, exactly" in answer.verdict.text
    torque = ask("units", kind="torque", text="85 ft-lb")
    assert shown(torque, "same") == ["115.24 N·m", "85.00 lbf·ft", "1,020.0 lbf·in", "11.752 kgf·m"]
    assert wrongs("units", kind="length", text="1,176 mm") == {"text": "ambiguous_comma"}
    assert wrongs("units", kind="torque", text="4 bar") == {"text": "wrong_kind"}


def test_a_vin_is_read_and_a_wrong_digit_named() -> None:
    assert whole("vin").verdict.code == "fits"
    wrong = ask("vin", vin="1J9RP1A37A1644345")
    assert "position 9 is 7 and should be 6" in wrong.verdict.text
    assert shown(wrong, "model_year") == ["1980 or 2010"]
    assert wrongs("vin", vin="1J9RP1A37A16443O5") == {"vin": "character"}
    assert wrongs("vin", vin="1J9") == {"vin": "length"}


def test_a_due_date_has_a_low_and_a_high() -> None:
    answer = whole("due-date")
    assert answer.verdict.code == "to_come"
    low, likely, high = (shown(answer, key)[0] for key in ("low", "likely", "high"))
    assert "2026-11-25" < low < likely < high
    assert "meter at 52,000 mi" in figure(answer, "likely").limit


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ({"as_of": "2027-06-01"}, "too_old"),
        ({"readings": "2026-11-04, 48,210"}, "too_few_readings"),
        ({"readings": "2026-11-01, 10\n2026-11-02, 20\n2026-11-03, 30"}, "too_short"),
    ],
)
def test_stale_or_thin_readings_give_a_reason_and_no_date(typed: dict[str, str], code: str) -> None:
    answer = whole("due-date", **typed)
    assert (answer.verdict.code, answer.refused, answer.figures) == (code, True, ())


def test_a_figure_passed_is_due_and_one_never_reached_is_said() -> None:
    assert whole("due-date", target="48,000").verdict.code == "due"
    assert whole("due-date", target="9,000,000").verdict.code == "never"


def test_a_new_meter_in_the_middle_is_no_fall() -> None:
    lines = "2026-09-02, 46,100\n2026-10-01, 47,180\n2026-10-10, 5 new meter\n2026-11-04, 1,000"
    answer = whole("due-date", readings=lines, target="3,000")
    assert answer.verdict.code == "to_come"


def test_a_line_that_can_t_be_read_is_told_by_its_number() -> None:
    text = WHOLE["due-date"]["readings"] + "\nNov 5, 48,300"
    assert wrongs("due-date", readings=text, target="52,000") == {"readings": "unreadable"}
    assert wrongs("due-date", readings="2026-11-01, 1\n" * 101, target="5") == {
        "readings": "too_many"
    }
