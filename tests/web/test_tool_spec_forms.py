"""Torque tools and torque figures, put on file and changed."""

from fleet.records.models import JointKind, ToolComparison, TorqueSpec, TorqueTool
from tests import build, people
from tests.operations.conftest import House, a_tool
from tests.web.conftest import Get, Send


def tool_path(tool: TorqueTool, what: str) -> str:
    return f"/tools/{tool.pk}/{what}/"


def test_a_manager_puts_a_tool_on_file(send: Send, house: House) -> None:
    typed = {"code": "TW-5", "name": "3/8 in click", "kind": "set", "yard_id": str(house.yard.pk)}
    page = send(
        house.manager.person, "/tools/new/", 400, **typed, low_typed="10", high_typed="lots"
    )
    assert list(page.context["form"].errors) == ["high_typed"]
    send(
        house.manager.person, "/tools/new/", **typed, low_typed="10 lbf·ft", high_typed="100 lbf·ft"
    )
    assert TorqueTool.objects.get(code="TW-5").good_until is None


def test_a_calibration_makes_it_believed_and_a_drop_ends_that(send: Send, house: House) -> None:
    tool = house.tool
    send(house.technician.person, tool_path(tool, "mishap"), what="fell off the step")
    tool.refresh_from_db()
    assert tool.doubted_since is not None
    send(
        house.manager.person, tool_path(tool, "calibrate"), passed="yes", certificate="C-88",
        on="2026-11-25", worst="1.5",
    )  # fmt: skip
    tool.refresh_from_db()
    assert tool.doubted_since is None
    assert tool.calibrations.latest("id").worst_deviation == 0.015


def test_a_comparison_is_three_pulls_beside_a_tool_in_date(send: Send, house: House) -> None:
    beside = a_tool(house.manager, house.yard, "TW-2")
    path = tool_path(house.tool, "compare")
    typed = {"beside": str(beside.pk), "figure": "125 lbf·ft", "pull_1": "124", "pull_2": "126"}
    page = send(house.technician.person, path, 400, **typed, pull_3="")
    assert page.context["form"].errors["pull_3"] == ["Type what was read."]
    send(house.technician.person, path, **typed, pull_3="125", request_key="one")
    send(house.technician.person, path, **typed, pull_3="125", request_key="one")
    assert ToolComparison.objects.get().agrees


def test_a_stranger_finds_no_such_tool(get: Get, house: House) -> None:
    stranger = people.stranger(build.yard("Mesa Tank"))
    get(stranger, tool_path(house.tool, "mishap"), 404)
    get(house.technician.person, tool_path(house.tool, "calibrate"), 403)


def spec(house: House, **changed: str) -> dict[str, str]:
    kind = JointKind.objects.get(code="track_bar_frame_end")
    return {
        "design_id": str(house.design.pk), "kind_id": str(kind.pk), "origin": "shop",
        "low": "130 lbf·ft", "high": "", "thread_condition": "dry", "is_target": "on",
        "source": "shop bulletin 4", **changed,
    }  # fmt: skip


def test_a_new_figure_becomes_the_target_and_the_old_one_stays_on_file(
    send: Send, house: House
) -> None:
    send(house.manager.person, "/specs/new/", **spec(house))
    rows = TorqueSpec.objects.filter(kind__code="track_bar_frame_end")
    assert [row.origin for row in rows.filter(is_target=True)] == ["shop"]
    assert rows.filter(origin="factory").exists()


def test_a_shop_figure_above_the_factorys_wants_hardware_and_a_reason(
    send: Send, house: House
) -> None:
    page = send(house.manager.person, "/specs/new/", 400, **spec(house, low="160 lbf·ft"))
    assert "It needs changed hardware and a reason" in page.text
    changed = {"low": "160 lbf·ft", "new_fastener": "on", "reason": "class 12.9 bolt and washer"}
    send(house.manager.person, "/specs/new/", **spec(house, **changed))
    assert TorqueSpec.objects.latest("id").reason == "class 12.9 bolt and washer"


def test_a_figure_without_its_source_is_refused(send: Send, house: House) -> None:
    page = send(house.manager.person, "/specs/new/", 400, **spec(house, source=""))
    assert list(page.context["form"].errors) == ["source"]


def test_a_manager_puts_a_designs_alignment_on_file(get: Get, send: Send, house: House) -> None:
    path = f"/specs/designs/{house.design.pk}/alignment/"
    page = get(house.manager.person, path)
    assert page.context["form"].initial["toe_low"] == "0"
    toe = {"toe_low": "0", "toe_high": "1/8 in", "toe_source": "invented", "tie_rod": "behind"}
    page = send(house.manager.person, path, 400, **toe, caster_low="5", caster_high="3")
    assert set(page.context["form"].errors) == {"caster_high", "caster_source"}
    caster = {"caster_low": "3", "caster_high": "5.5", "caster_source": "manual, invented"}
    send(house.manager.person, path, **toe, **caster)
    house.design.refresh_from_db()
    assert (house.design.caster_low_degrees, house.design.caster_high_degrees) == (3.0, 5.5)
    shown = get(house.manager.person, "/specs/").text
    assert "3 – 5.5°" in shown
    get(house.technician.person, path, 403)


def test_the_linkage_is_put_on_file_and_comes_back_as_typed(
    send: Send, get: Get, house: House
) -> None:
    path = f"/specs/designs/{house.vehicle.design_id}/alignment/"
    said = {"tie_rod": "ahead", "steering_arm": "7 in", "tie_rod_thread": "18",
            "tie_rod_other_end": "left_hand", "drag_link_other_end": "still",
            "drag_link_thread": "1.5 mm", "gear_ratio": "16", "pitman_arm": "6 in",
            "longer_link": "right", "linkage_source": "Measured in the bay"}  # fmt: skip
    refused = send(house.manager.person, path, 400, **{**said, "steering_arm": "7 stones"})
    assert "can&#x27;t be read at “stones”" in refused.text
    send(house.manager.person, path, **said)
    form = get(house.manager.person, path).context["form"]
    assert {name: form[name].value() for name in said} == said
