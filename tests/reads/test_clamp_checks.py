"""Torque figures on file, checked for clamp load: judged, refused, or why nothing is said."""

import pytest

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.reads.clamp_checks import (
    factory_bands,
    nut_factor_ranges,
    pull_check,
    spec_check,
    with_factory,
)
from fleet.records.models import Person, TorqueSpec
from tests import build, people
from tests.build import NOW

FT = 1.3558179483314004
# 40 lbf·ft of the factory and 60 of experienced hands on the same bolt (common practice, no
# source); which bolt it is, M10 10.9, is invented.
BOLT = {"thread": "M10 × 1.5", "strength_class": "10.9"}


@pytest.fixture
def manager(db: None) -> Person:
    load_reference(server_actor("command"), at=NOW)
    return people.manager()


def factory(by: Person, **extra: object) -> TorqueSpec:
    values = {"low_nm": 40 * FT, "high_nm": 40 * FT, "typed": "40 lbf·ft", **BOLT, **extra}
    return build.spec(by, "track_bar_axle_end", **values)


def shop(by: Person, condition: str, **extra: object) -> TorqueSpec:
    values = {"low_nm": 60 * FT, "high_nm": 60 * FT, "typed": "60 lbf·ft", "origin": "shop",
              "is_target": False, "thread_condition": condition, **BOLT, **extra}  # fmt: skip
    return build.spec(by, "track_bar_axle_end", **values)


def read(spec: TorqueSpec) -> TorqueSpec:
    return with_factory(TorqueSpec.objects.select_related("kind")).get(pk=spec.pk)


def test_a_figure_shows_its_range_of_clamp_load_as_a_share_of_proof(manager: Person) -> None:
    check = spec_check(read(factory(manager)))
    # F = T / (K d): 54.2 N·m over 0.30 and over 0.20 x 10 mm, less and plus 4 %; proof load of M10
    # 10.9 is 58.0 mm² x 830 MPa = 48.1 kN (areas of ISO 898-1 as charts quote it).
    assert check.load("metric") == "17.4 – 28.2 kN"
    assert check.share == "36 – 59 % of proof"
    assert check.code == "in_range"
    assert check.nut_factor is not None
    assert check.nut_factor.shown == "0.20 – 0.30"
    assert "Shigley" in check.origin
    assert "48.1 kN" in check.proof
    assert check.warning is None
    assert not check.is_shop_dry


def test_a_shop_figure_above_the_factorys_on_eased_threads_is_flagged(manager: Person) -> None:
    factory(manager)
    check = spec_check(read(shop(manager, "oiled")))
    assert check.warning is not None
    assert check.warning.grave
    assert check.flagged
    assert check.code == "may_pass_proof"
    assert check.beside("factory", "metric").endswith("% of proof")
    assert not check.is_shop_dry


def test_on_dry_threads_it_is_told_calmly_what_anti_seize_would_make_of_it(manager: Person) -> None:
    factory(manager)
    check = spec_check(read(shop(manager, "dry")))
    assert check.warning is None
    assert not check.flagged
    assert check.is_shop_dry
    assert check.eased_passes
    # 81.3 N·m over 0.16 and 0.12 x 10 mm, less and plus 4 %.
    assert check.beside("anti_seize", "metric") == "48.8 – 70.5 kN, 101 – 146 % of proof"


def test_a_shop_figure_alone_has_no_factorys_beside_it(manager: Person) -> None:
    check = spec_check(read(shop(manager, "dry")))
    assert check.is_shop_dry
    assert check.beside("factory", "us") == ""


@pytest.mark.parametrize(
    ("kind", "code"),
    [("tie_rod_end", "tapered_stud"), ("pitman_arm", "tapered_shaft"), ("hub_bolts", "hub_nut"),
     ("tie_rod_clamps", "clamp"), ("wheel_nuts", "hub_nut")],
)  # fmt: skip
def test_where_the_relation_does_not_hold_it_is_refused(
    manager: Person, kind: str, code: str
) -> None:
    check = spec_check(read(build.spec(manager, kind)))
    assert (check.code, check.answer.refused, check.unknown) == (code, True, False)
    assert check.load("us") == check.share == ""


def test_an_angle_bolt_is_refused_whatever_holds_the_joint(manager: Person) -> None:
    assert spec_check(read(factory(manager, angle_degrees=90))).code == "to_yield"


@pytest.mark.parametrize(
    ("missing", "code"),
    [({"thread": ""}, "no_thread_on_file"), ({"strength_class": " "}, "no_class_on_file"),
     ({"thread": "coarse"}, "fastener_unread")],
)  # fmt: skip
def test_without_a_fastener_nothing_is_said(
    manager: Person, missing: dict[str, str], code: str
) -> None:
    check = spec_check(read(factory(manager, **missing)))
    assert (check.code, check.unknown) == (code, True)
    assert "%(" not in check.answer.verdict.text


def test_a_pull_is_judged_on_the_threads_as_recorded(manager: Person) -> None:
    spec = factory(manager)
    bands = factory_bands([spec])
    band = bands[spec.design_id, spec.kind_id]
    dry = pull_check(60 * FT, "", spec, band)
    oiled = pull_check(60 * FT, "oiled", spec, band)
    assert dry is not None
    assert oiled is not None
    assert not dry.flagged
    assert oiled.flagged
    assert oiled.warning is not None
    assert "clamp_high" in {figure.key for figure in oiled.answer.figures}
    at_figure = pull_check(40 * FT, "oiled", spec, band)
    assert at_figure is not None
    assert not at_figure.flagged


def test_a_pull_without_a_figure_on_file_is_not_judged(manager: Person) -> None:
    assert pull_check(60 * FT, "dry", None, None) is None
    assert pull_check(0.0, "dry", factory(manager), None) is None


def test_the_ranges_behind_the_checks_stand_once_with_their_origin() -> None:
    found = nut_factor_ranges(["oiled", "dry", "dry"])
    assert [row.shown for row in found] == ["0.20 – 0.30", "0.15 – 0.20"]
    assert all(row.origin for row in found)
