"""Published values that belong to the bench's arithmetic and stand in no table of their own."""

import pytest

from fleet.calc.alignment import legal_toe, toe_from_widths, turns_for_toe
from fleet.calc.bolts import TorqueRefused, tensile_stress_area
from fleet.calc.fastener_tables import METRIC, UNIFIED
from fleet.calc.fasteners import (
    SlotRefused,
    SlotTurn,
    assess_torque,
    parse_fastener,
    shop_above_factory,
    slotted_nut_turn,
)
from fleet.calc.limit_tables import ANY, REGIMES, Regime
from fleet.calc.limits import Answer, steering_wheel_lash_limit
from fleet.calc.peaks import BAND
from fleet.calc.torque_checks import factor_range
from fleet.calc.units import convert, parse_torque
from fleet.calc.vin import check_digit
from fleet.reads.reckoning.clamp import TOLERANCE

INCH = 0.0254


def foot_pounds(value: float) -> float:
    return parse_torque(f"{value} lbf·ft").si


@pytest.mark.parametrize(
    ("toe", "answer"),
    [(3 / 16, Answer.INSIDE), (3 / 16 + 1 / 64, Answer.PAST), (-1 / 64, Answer.NO_LIMIT)],
)
@pytest.mark.parametrize("rule", ["49 CFR 570.7(d) (read)", "49 CFR 570.60 (read)"])
def test_the_legal_line_is_1_5_times_the_makers_figure(
    rule: str, toe: float, answer: Answer
) -> None:
    found = legal_toe(toe * INCH, 0.0, INCH / 8)
    assert found.answer is answer
    if found.limit is not None:
        assert found.limit == pytest.approx(1.5 * INCH / 8)


# As rules of a fleet's own: no state's rule is built in. "Over 18 in" begins at 18.05, since a
# diameter within half a millimeter of a row is that row's.
STATES: dict[str, tuple[list[tuple[float, str]], list[tuple[float, str]]]] = {
    "Maryland COMAR 11.22.03.04": ([(0.0, "3"), (21.0, "3 1/2")],) * 2,
    "N. Carolina 19A NCAC 03D.0535": ([(0.0, "3"), (18.05, "4")],) * 2,
    "Ohio 4501:2-1-05": ([(0.0, "3")], [(0.0, "2")]),
    "Missouri 11 CSR 50-2.200": ([(0.0, "2"), (18.05, "3")],) * 2,
}


@pytest.mark.parametrize(
    ("state", "wheel", "power", "printed"),
    [
        ("Maryland COMAR 11.22.03.04", 20, True, "3"),
        ("Maryland COMAR 11.22.03.04", 21, True, "3 1/2"),
        ("N. Carolina 19A NCAC 03D.0535", 18, False, "3"),
        ("N. Carolina 19A NCAC 03D.0535", 19, False, "4"),
        ("Ohio 4501:2-1-05", 16, True, "2"),
        ("Ohio 4501:2-1-05", 16, False, "3"),
        ("Missouri 11 CSR 50-2.200", 18, True, "2"),
        ("Missouri 11 CSR 50-2.200", 20, True, "3"),
    ],
)
def test_a_states_rule_of_lash_can_be_held_as_data(
    state: str, wheel: float, power: bool, printed: str
) -> None:
    manual, assisted = STATES[state]
    rule: Regime = {
        "title": state,
        "lash": {ANY: {"citation": state, "manual": manual, "power": assisted}},
        "linkage": {},
    }
    limit = steering_wheel_lash_limit(state, wheel * INCH, power, regimes={**REGIMES, state: rule})
    assert (limit.as_printed, limit.citation) == (printed, state)


@pytest.mark.parametrize(
    ("number", "remainder", "decimal", "digit"),
    [
        # Weight 2 at position 17: a six is 12, one over 11. Weight 10 at position 8.
        pytest.param("0" * 16 + "6", 1, "0.091", "1", id="NHTSA handbook, Table V, .091 (read)"),
        pytest.param("00000001000000000", 10, "0.909", "X", id="NHTSA handbook, Table V, .909"),
    ],
)
def test_the_decimal_form_of_a_vin_remainder(
    number: str, remainder: int, decimal: str, digit: str
) -> None:
    assert f"{remainder / 11:.3f}" == decimal
    assert check_digit(number) == digit


@pytest.mark.parametrize(
    ("value", "unit", "to", "printed"),
    [
        (1, "lbf", "N", "4.44822"),
        (1, "lbf·in", "N·m", "0.112985"),
        (1, "mi", "km", "1.609344"),
    ],
    ids=lambda value: f"NAVFAC table (read): {value}",
)
def test_a_factor_of_the_navfac_table(value: float, unit: str, to: str, printed: str) -> None:
    places = len(printed.partition(".")[2])
    assert convert(value, unit, to) == pytest.approx(float(printed), abs=0.5 * 10.0**-places)


@pytest.mark.parametrize(
    ("series", "root", "pitch"),
    [
        pytest.param(
            METRIC, 1.226869, 0.649519, id="metric root (from memory), pitch (Shigley 9e)"
        ),
        pytest.param(
            UNIFIED, 1.299038, 0.649519, id="inch, Shigley 9e notes to 8-1 and 8-2 (read)"
        ),
    ],
)
def test_the_stress_area_is_midway_between_root_and_pitch_diameter(
    series: str, root: float, pitch: float
) -> None:
    diameter, step = 0.012, 0.00175
    middle = diameter - (root + pitch) / 2 * step
    area = float(tensile_stress_area(diameter, step, series))
    assert area == pytest.approx(3.141592653589793 / 4 * middle**2, rel=2e-5)


@pytest.mark.parametrize("condition", ["oiled", "anti_seize"])
def test_scatter_of_a_wrench_lies_in_the_tightening_factor_of_vdi_2230(condition: str) -> None:
    """About 1.4 to 1.6 for a torque wrench (VDI 2230, from memory, unverified)."""
    low, high, _of, _note = factor_range(condition, None)
    assert 1.4 <= high / low * (1 + TOLERANCE) / (1 - TOLERANCE) <= 1.6


def test_the_usual_tool_reads_within_4_percent() -> None:
    """ISO 6789, setting click wrenches above 10 N·m (from memory, unverified)."""
    assert TOLERANCE == 0.04


def test_toe_in_is_positive_when_the_fronts_are_nearer() -> None:
    """ISO 8855:2011, static toe (from memory, unverified)."""
    assert toe_from_widths(rear=46.3125 * INCH, front=46.25 * INCH) > 0


def test_a_sleeve_of_two_hands_moves_two_pitches_a_turn_and_a_rod_end_one() -> None:
    """A derivation (from memory, unverified); no published number was found."""
    given = INCH / 16, 29 * INCH, 7 * INCH
    both = turns_for_toe(*given, INCH / 18, INCH / 18, tie_rod_ahead_of_axle=False)
    one = turns_for_toe(*given, INCH / 18, 0.0, tie_rod_ahead_of_axle=False)
    assert one == pytest.approx(2 * both)


def slot_at(torque_now: float) -> SlotTurn | SlotRefused:
    return slotted_nut_turn(6, 20.0, torque_now, 70.0, 90.0)


def test_a_slotted_nut_goes_from_the_low_side_on_and_never_past_the_high() -> None:
    """FAA AC 43.13-1B p. 7-7 (as quoted) and a service manual's general section (read)."""
    on = slot_at(70.0)
    assert isinstance(on, SlotTurn)
    assert (on.degrees, on.up_to) == (20.0, 90.0)
    for now, code in (
        (69.0, "below_low_side"),
        (90.0, "no_slot_in_range"),
        (91.0, "past_high_side"),
    ):
        found = slot_at(now)
        assert isinstance(found, SlotRefused)
        assert found.code == code


@pytest.mark.parametrize(
    ("low", "high"),
    [
        pytest.param(4, 10, id="encyclopedic page on speed wobble (read, not academic)"),
        pytest.param(5, 15, id="solid axles (from memory, unverified)"),
    ],
)
def test_shimmy_is_looked_for_where_it_is_said_to_be(low: float, high: float) -> None:
    assert BAND[0] < low < high < BAND[1]


@pytest.mark.parametrize(
    ("figure", "held_by", "code"),
    [
        pytest.param(55, "slotted_stud", "tapered_stud", id="tie-rod end to knuckle"),
        pytest.param(36, "clamp", "clamp", id="drag-link adjuster clamps"),
    ],
)
def test_figures_of_the_trade_that_t_k_d_f_says_nothing_of(
    figure: float, held_by: str, code: str
) -> None:
    """Common practice, no source: the figures stand, their clamp load is not reckoned."""
    bolt = parse_fastener("1/2-20 UNF grade 5", held_by)
    with pytest.raises(TorqueRefused) as refused:
        assess_torque(foot_pounds(figure), bolt, "dry")
    assert refused.value.code == code


@pytest.mark.parametrize("size", ["M14 x 2", "M16 x 2", "M18 x 2.5"])
def test_the_frame_end_habit_of_70_to_75_over_60_stays_under_proof_on_work_trucks(
    size: str,
) -> None:
    """Common practice, no source; bolt sizes of the invented work trucks; loads computed."""
    bolt = parse_fastener(f"{size} 10.9")
    habit = foot_pounds(70), foot_pounds(75)
    found = shop_above_factory(habit, foot_pounds(60), bolt, "anti_seize")
    assert found.above_factory
    assert not found.flagged
