"""Bolts against ISO 898-1, SAE J429, thread tables and worked examples of T = K d F."""

import statistics

import pytest

from fleet.calc.fastener_tables import CLASSES, INCH, KSI, MPA, NUT_FACTORS
from fleet.calc.fasteners import (
    assess_torque,
    clamp_load,
    parse_fastener,
    proof_load,
    shop_above_factory,
    tensile_stress_area,
)
from fleet.calc.units import convert, parse_torque
from tests.published.tables import rows

MM2, INCH2 = 1e-6, INCH**2
ISO_CLASSES = ("8.8", "10.9", "12.9")
LBF = convert(1, "lbf", "N")
COARSE, FINE = rows("iso898_coarse.csv"), rows("iso898_fine.csv")
UNIFIED = rows("unified_threads.csv")


def last_digit(printed: str) -> float:
    """One in the last digit printed."""
    return 10.0 ** -len(printed.partition(".")[2])


@pytest.mark.parametrize("row", COARSE, ids=lambda row: f"ISO 898-1 coarse {row['size']} (read)")
def test_stress_area_of_iso_898_1_coarse(row: dict[str, str]) -> None:
    area = tensile_stress_area(float(row["size"][1:]) / 1000, float(row["pitch_mm"]) / 1000)
    assert area / MM2 == pytest.approx(float(row["As_mm2"]), rel=0.004)
    assert area / MM2 == pytest.approx(float(row["As_formula"]), abs=0.001)


@pytest.mark.parametrize("grade", ISO_CLASSES)
@pytest.mark.parametrize("row", COARSE, ids=lambda row: f"ISO 898-1 coarse {row['size']} (read)")
def test_proof_load_of_iso_898_1_coarse(row: dict[str, str], grade: str) -> None:
    """The printed loads are printed areas times proof stress, rounded to three digits."""
    bolt = parse_fastener(f"{row['size']} x {row['pitch_mm']} {grade}")
    printed = float(row[f"proof_{grade.replace('.', '_')}"])
    assert proof_load(bolt) == pytest.approx(printed, rel=0.006)


@pytest.mark.parametrize("grade", ISO_CLASSES)
@pytest.mark.parametrize(
    "row", FINE, ids=lambda row: f"ISO 898-1 fine {row['size']} (from memory, unverified)"
)
def test_area_and_proof_load_of_iso_898_1_fine(row: dict[str, str], grade: str) -> None:
    bolt = parse_fastener(f"{row['size']} {grade}")
    area = tensile_stress_area(bolt.thread.diameter, bolt.thread.pitch)
    assert area / MM2 == pytest.approx(float(row["As_mm2"]), rel=0.005)
    printed = float(row[f"proof_{grade.replace('.', '_')}"])
    assert proof_load(bolt) == pytest.approx(printed, rel=0.007)


@pytest.mark.parametrize(
    ("thread", "area"),
    [
        pytest.param("M6", 20.1, id="ISO 898-1 M6 (from memory, unverified)"),
        pytest.param("M18", 192, id="ISO 898-1 M18 (from memory, unverified)"),
        pytest.param("M20", 245, id="ISO 898-1 M20 (from memory, unverified)"),
        pytest.param("M22", 303, id="ISO 898-1 M22 (from memory, unverified)"),
        pytest.param("M24", 353, id="ISO 898-1 M24 (from memory, unverified)"),
        pytest.param("M18 x 1.5", 216, id="ISO 898-1 M18x1.5 (from memory, unverified)"),
        pytest.param("M20 x 1.5", 272, id="ISO 898-1 M20x1.5 (from memory, unverified)"),
        pytest.param("M22 x 1.5", 333, id="ISO 898-1 M22x1.5 (from memory, unverified)"),
        pytest.param("M24 x 2", 384, id="ISO 898-1 M24x2 (from memory, unverified)"),
    ],
)
def test_stress_area_of_the_other_metric_sizes(thread: str, area: float) -> None:
    found = parse_fastener(f"{thread} 10.9").thread
    assert tensile_stress_area(found.diameter, found.pitch) / MM2 == pytest.approx(area, rel=0.004)


def test_8_8_at_exactly_16_mm_is_580_mpa() -> None:
    """ISO 898-1's load for M16 (91,000 N over 157 mm²) is 580 MPa; one chart has 600."""
    assert CLASSES["8.8"].proof_stress(0.016) == 580 * MPA
    assert CLASSES["8.8"].proof_stress(0.018) == 600 * MPA
    assert proof_load(parse_fastener("M16 8.8")) == pytest.approx(91_000, rel=0.002)


@pytest.mark.parametrize(
    "row", UNIFIED, ids=lambda row: f"Shigley 9e 8-2 {row['size']}-{row['tpi']}"
)
def test_stress_area_of_shigley_table_8_2(row: dict[str, str]) -> None:
    thread = parse_fastener(f"{row['size']}-{row['tpi']} {row['series']} grade 5").thread
    area = float(tensile_stress_area(thread.diameter, thread.pitch, thread.series)) / INCH2
    printed = row["At_printed_in2"]
    # The last digit printed is cut off in one row (1/2-20) and rounded in the others.
    assert area == pytest.approx(float(printed), abs=last_digit(printed))
    assert area == pytest.approx(float(row["At_formula_in2"]), abs=2e-5)


@pytest.mark.parametrize(
    ("thread", "area"),
    [
        ("1/4-20", 0.0318), ("1/4-28", 0.0364), ("5/16-18", 0.0524), ("5/16-24", 0.0580),
        ("7/8-9", 0.462), ("7/8-14", 0.509), ("1-8", 0.606), ("1-12", 0.663),
    ],
    ids=lambda value: f"Shigley 9e 8-2 {value} (from memory, unverified)",
)  # fmt: skip
def test_stress_area_of_the_other_inch_sizes(thread: str, area: float) -> None:
    found = parse_fastener(f"{thread} grade 8").thread
    ours = float(tensile_stress_area(found.diameter, found.pitch, "inch")) / INCH2
    assert ours == pytest.approx(area, abs=0.0006)


@pytest.mark.parametrize("grade", ["2", "5", "8"])
@pytest.mark.parametrize("row", UNIFIED, ids=lambda row: f"{row['size']}-{row['tpi']} (computed)")
def test_proof_load_of_inch_bolts(row: dict[str, str], grade: str) -> None:
    """Printed area times SAE J429 proof stress, as tabled in unified_threads.csv."""
    bolt = parse_fastener(f"{row['size']}-{row['tpi']} grade {grade}")
    assert proof_load(bolt) / LBF == pytest.approx(float(row[f"proof_gr{grade}_lbf"]), rel=0.002)


@pytest.mark.parametrize(
    "row",
    rows("sae_j429.csv"),
    ids=lambda row: f"SAE J429 grade {row['grade']}, {row['size_min_in']} to {row['size_max_in']}",
)
def test_proof_stress_of_sae_j429(row: dict[str, str]) -> None:
    grade, printed = CLASSES[row["grade"]], float(row["proof_ksi"])
    least = row["size_min_in"]
    just_inside = float(least.lstrip(">")) + (0.001 if least.startswith(">") else 0)
    for diameter in (just_inside, float(row["size_max_in"])):
        assert grade.proof_stress(diameter * INCH) / KSI == pytest.approx(printed)


@pytest.mark.parametrize(
    "row",
    rows("tkdf_examples.csv"),
    ids=lambda row: f"{row['case']}, K {row['K']} ({row['read_or_memory']})",
)
def test_worked_example_of_t_k_d_f(row: dict[str, str]) -> None:
    torque = convert(float(row["torque_published"]), row["unit"].replace("*", "·"), "N·m")
    load = clamp_load(torque, float(row["d_in"]) * INCH, float(row["K"])) / LBF
    # The examples round their answers, one of them (37 for 37.24) to the whole.
    assert load == pytest.approx(float(row["F_lbf"]), rel=0.007)
    exact = convert(float(row["torque_computed"]), row["unit"].replace("*", "·"), "N·m")
    ours = clamp_load(exact, float(row["d_in"]) * INCH, float(row["K"])) / LBF
    assert ours == pytest.approx(float(row["F_lbf"]), rel=1e-4)


def test_scatter_of_shigley_table_8_14_lies_within_the_range_for_oiled_threads() -> None:
    """Ten lubricated bolts at 90 N·m: mean 34.18 kN, deviation 2.88 (Shigley 9e Table 8-14)."""
    preload = [float(row["preload_kN"]) for row in rows("shigley_8_14.csv")]
    assert statistics.mean(preload) == pytest.approx(34.18, abs=0.005)
    assert statistics.stdev(preload) == pytest.approx(2.88, abs=0.005)
    check = assess_torque(90.0, parse_fastener("M12 x 1.25 10.9"), "oiled")
    assert check.clamp_high / check.clamp_low >= max(preload) / min(preload)


@pytest.mark.parametrize(
    ("condition", "published"),
    [
        pytest.param("dry", ["nonplated, black finish", "zinc-plated", "zinc plate, dry"]),
        pytest.param("oiled", ["lubricated"]),
        pytest.param("anti_seize", ["Bowman anti-seize"]),
    ],
    ids=lambda value: f"Shigley 9e 8-15 and a handbook: {value}",
)
def test_a_published_nut_factor_lies_in_the_range_of_its_condition(
    condition: str, published: list[str]
) -> None:
    found = [row for row in rows("nut_factors.csv") if row["condition"] in published]
    assert found
    for row in found:
        assert NUT_FACTORS[condition].low <= float(row["K"]) <= NUT_FACTORS[condition].high


@pytest.mark.parametrize(
    "row",
    [row for row in rows("nut_factors.csv") if "-0." in row["K"]],
    ids=lambda row: f"public engineering page: {row['condition']}",
)
def test_a_published_range_is_taken_or_widened(row: dict[str, str]) -> None:
    low, high = (float(side) for side in row["K"].split("-"))
    ours = NUT_FACTORS[row["condition"].replace("-", "_")]
    assert ours.low <= low
    assert high <= ours.high


def test_a_habit_is_past_proof_on_lubricated_threads_and_the_factory_figure_is_not() -> None:
    """60 and 40 lbf·ft on an M10 bolt: common practice, no source; the loads are computed."""
    bolt = parse_fastener("M10 x 1.5 10.9")
    habit, factory = parse_torque("60 lbf·ft").si, parse_torque("40 lbf·ft").si
    assert proof_load(bolt) == pytest.approx(48_100, rel=0.001)
    loads = clamp_load(habit, 0.010, [0.16, 0.12])
    assert loads.tolist() == pytest.approx([50_800, 67_800], rel=0.001)
    assert assess_torque(habit, bolt, "anti_seize").verdict == "past_proof"
    dry = assess_torque(factory, bolt, "dry", tool_tolerance=0, nut_factor=(0.20, 0.20))
    assert dry.clamp_high == pytest.approx(27_100, rel=0.001)
    assert dry.share_of_proof_high == pytest.approx(0.56, abs=0.005)
    found = shop_above_factory(habit, factory, bolt, "anti_seize")
    assert found.flagged
    assert found.factory.verdict == "high"
