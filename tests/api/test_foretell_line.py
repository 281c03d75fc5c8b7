"""What a ticket line's figures come to, told without recording anything."""

from fleet.operations.actor import server_actor
from fleet.operations.reference import load_reference
from fleet.records.models import Joint, LineEntry, Ticket, TicketLine, Vehicle
from tests import build
from tests.api.conftest import Client

BOLT = {"thread": "M10 × 1.5", "strength_class": "10.9", "low_nm": 54.2, "high_nm": 54.2}


def a_line(truck: Vehicle, by: Client, action: str, kind: str = "") -> TicketLine:
    load_reference(server_actor("command"), at=build.NOW)
    ticket = Ticket.objects.create(vehicle=truck, opened_by=by.person, opened_at=build.NOW)
    joint = Joint.objects.get(vehicle=truck, kind__code=kind) if kind else None
    return TicketLine.objects.create(ticket=ticket, joint=joint, action=action, position=1)


def test_a_pull_is_told_as_the_page_tells_it(technician: Client, truck: Vehicle) -> None:
    build.spec(technician.person, "track_bar_axle_end", design=truck.design, **BOLT)
    line = a_line(truck, technician, "retorque", "track_bar_axle_end")
    figures = {"torque": "60 lbf·ft", "thread_condition": "oiled"}
    answer = technician.post(f"lines/{line.pk}/foretell/", {"figures": figures})
    assert answer.status_code == 200
    (pull,) = answer.json()["pulls"]
    assert (pull["field"], pull["flagged"]) == ("torque", True)
    assert pull["check"]["verdict"]["code"] == "may_pass_proof"
    assert not LineEntry.objects.exists()


def test_toe_is_told_with_what_is_missing_for_the_turns(technician: Client, truck: Vehicle) -> None:
    line = a_line(truck, technician, "set_toe")
    figures = {"found_rear": "46 1/4", "found_front": "46", "toe_span": "29", "toe_basis": "spec",
               "toe_spec_low": "0", "toe_spec_high": "1/8"}  # fmt: skip
    told = technician.post(f"lines/{line.pk}/foretell/", {"figures": figures}).json()
    assert told["toe"]["verdict"]["code"] == "above"
    assert told["toe_turns"]["missing"] == ["steering_arm", "tie_rod_threads"]
    assert told["centring"] is None


def test_without_figures_it_tells_what_is_recorded(technician: Client, truck: Vehicle) -> None:
    line = a_line(truck, technician, "centre_wheel")
    kept = {"degrees_before": {"typed": "10", "value": 10.0}}
    build.entry(line, technician.person, kept)
    told = technician.post(f"lines/{line.pk}/foretell/", {}).json()
    assert "gear_ratio" in told["centring"]["missing"]


def test_a_stranger_is_told_that_there_is_no_such_line(
    technician: Client, stranger: Client, truck: Vehicle
) -> None:
    line = a_line(truck, technician, "set_toe")
    assert stranger.post(f"lines/{line.pk}/foretell/", {}).status_code == 404
