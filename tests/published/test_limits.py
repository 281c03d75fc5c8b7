"""Limits of lash and linkage play against the tables that the rules print."""

import pytest

from fleet.calc.limits import (
    Answer,
    assess_play,
    linkage_play_limit,
    steering_wheel_lash_limit,
)
from fleet.calc.units import parse_length
from tests.published.tables import rows

INCH = 0.0254
RIMS = [(15, 16), (16.01, 17.5, 18), (18.01, 19.5, 22.5)]
CLASSES = {"light": "49 CFR 570.7(a)", "heavy": "49 CFR 570.60(a) Table 2"}


@pytest.mark.parametrize("power", [False, True], ids=["manual", "power"])
@pytest.mark.parametrize("weight_class", CLASSES, ids=CLASSES.values())
@pytest.mark.parametrize("row", rows("cfr_570_lash.csv"), ids=lambda row: f"{row['wheel_in']} in")
def test_lash_of_part_570(row: dict[str, str], weight_class: str, power: bool) -> None:
    diameter = float(row["wheel_in"]) * INCH
    limit = steering_wheel_lash_limit("us-570", diameter, power, weight_class=weight_class)
    assert (limit.as_printed, limit.unit, limit.note) == (row["lash_in"], "in", "")
    assert limit.value == parse_length(row["lash_in"]).si
    assert limit.citation == CLASSES[weight_class]


@pytest.mark.parametrize("diameter_from", ["wheel_in", "wheel_mm"])
@pytest.mark.parametrize("steering", ["manual", "power"])
@pytest.mark.parametrize(
    "row", rows("cfr_393_209.csv"), ids=lambda row: f"49 CFR 393.209(b) {row['wheel_in']} in"
)
def test_lash_of_393_209(row: dict[str, str], steering: str, diameter_from: str) -> None:
    size = INCH if diameter_from == "wheel_in" else 0.001
    limit = steering_wheel_lash_limit(
        "us-393", float(row[diameter_from]) * size, steering == "power"
    )
    assert (limit.as_printed, limit.note) == (row[f"{steering}_in"], "")
    assert limit.citation == "49 CFR 393.209(b)"
    # The rule prints whole millimeters beside the inches.
    assert limit.value * 1000 == pytest.approx(float(row[f"{steering}_mm"]), abs=0.6)


@pytest.mark.parametrize(
    "row",
    rows("cfr_393_209.csv"),
    ids=lambda row: f"49 CFR 393.209(b)(2) arc at {row['wheel_in']} in (computed)",
)
def test_the_angle_of_393_209_reproduces_the_arc(row: dict[str, str]) -> None:
    # A quarter inch off every listed diameter the angle stands instead of the table.
    unlisted = (float(row["wheel_in"]) + 0.25) * INCH
    manual = steering_wheel_lash_limit("us-393", unlisted, False)
    power = steering_wheel_lash_limit("us-393", unlisted, True)
    assert (manual.as_printed, manual.unit, manual.note) == ("14", "deg", "by_angle")
    assert power.as_printed == "30"
    scale = float(row["wheel_in"]) / (float(row["wheel_in"]) + 0.25)
    assert manual.value * scale / INCH == pytest.approx(float(row["arc14_in"]), abs=0.001)
    assert power.value * scale / INCH == pytest.approx(float(row["arc30_in"]), abs=0.001)


@pytest.mark.parametrize(
    ("row", "inside"),
    list(zip(rows("cfr_570_60_linkage.csv"), RIMS, strict=True)),
    ids=["49 CFR 570.60(b) Table 3: 16 or less", "16.01-18.00", "18.01 or more"],
)
def test_linkage_play_of_570_60b_table_3(row: dict[str, str], inside: tuple[float, ...]) -> None:
    for rim in inside:
        limit = linkage_play_limit("us-570", "heavy", rim * INCH)
        assert limit is not None
        assert limit.as_printed == row["play_in"]
        assert limit.citation == "49 CFR 570.60(b) Table 3"


def test_linkage_play_of_570_7b_is_a_quarter_inch_whatever_the_rim() -> None:
    for rim in (None, 15 * INCH, 19.5 * INCH):
        limit = linkage_play_limit("us-570", "light", rim)
        assert limit is not None
        assert (limit.as_printed, limit.citation) == ("1/4", "49 CFR 570.7(b)")


@pytest.mark.parametrize(
    "row",
    rows("app_a_free_play.csv"),
    ids=lambda row: f"Part 396 App A as mirrored, {row['wheel_in']} in",
)
def test_appendix_a_agrees_but_for_one_cell(row: dict[str, str]) -> None:
    """Appendix A, as read in two mirrors, allows 4 1/2 in where 393.209 prints 4 1/4."""
    limit = steering_wheel_lash_limit("us-393", float(row["wheel_in"]) * INCH, True)
    if row["wheel_in"] == "16":
        assert (limit.as_printed, row["power_in"]) == ("4 1/4", "4 1/2")
        between = parse_length("4 3/8").si
        assert assess_play(between, limit).answer is Answer.PAST
        assert between < parse_length(row["power_in"]).si
    else:
        assert limit.as_printed == row["power_in"]
    manual = steering_wheel_lash_limit("us-393", float(row["wheel_in"]) * INCH, False)
    assert manual.as_printed == row["manual_in"]
