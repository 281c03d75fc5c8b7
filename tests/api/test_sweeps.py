"""Sweeps over the API: opened by a manager once, read with what each joint came to."""

from typing import Any

from fleet.operations import tools
from fleet.records.models import Sweep
from tests.api.conftest import Client, codes
from tests.operations.conftest import House

FRAME = "track_bar_frame_end"


def test_a_sweep_is_opened_once_read_and_ended_by_its_version(house: House) -> None:
    house.tight(FRAME)
    tools.report_mishap(house.technician, house.tool.pk, "fell off the bench", at=house.now)
    boss = Client(house.manager.person)
    body = {"of": "tool", "tool": house.tool.code, "reason": "fell off the bench"}
    made: Any = boss.post("sweeps/", body, key="k-1")
    assert (made.status_code, made.json()["counts"]["left"]) == (201, 1)
    assert boss.post("sweeps/", body, key="k-1")["Idempotency-Replayed"] == "true"
    assert codes(boss.post("sweeps/", body)) == {"open_already"}
    path = f"sweeps/{made.json()['id']}/"
    [joint] = boss.get(f"{path}joints/").json()["results"]
    assert (joint["kind"], joint["became"]) == (FRAME, "left")
    assert boss.get(f"{path}joints/", {"became": "tight"}).json()["results"] == []
    end = f"{path}close/"
    assert boss.post(end, {}).status_code == 428
    assert codes(boss.post(end, {}, match=1)) == {"joints_left"}
    done = boss.post(end, {"said": "sold"}, match=1)
    assert (done.status_code, done.json()["state"], done.json()["figure"]["left"]) == (
        200, "closed", 1,
    )  # fmt: skip
    assert boss.get("sweeps/", {"state": "open"}).json()["results"] == []


def test_a_tool_that_is_not_there_is_no_tool(house: House) -> None:
    boss = Client(house.manager.person)
    answer = boss.post("sweeps/", {"of": "tool", "tool": "AB-99", "reason": "x"})
    assert answer.status_code == 404
    assert not Sweep.objects.exists()
