"""What other programs are told, from the deed to the program itself."""

from datetime import timedelta
from typing import Any

from fleet.operations import roll
from fleet.operations.actor import server_actor
from fleet.operations.deliver import deliver
from fleet.operations.holds import Check, lift_hold, place_hold
from fleet.operations.webhooks import WithSecret
from fleet.records.models import Delivery, Event, Outbox, Pattern, Recheck
from tests import build
from tests.events.conftest import delivery, hook, work
from tests.operations.conftest import House
from tests.receiver import Receiver, stands


def held(house: House, text: str = "Bent tie rod") -> Any:
    return place_hold(house.driver, house.vehicle.pk, text, at=house.now).row


def test_a_hold_is_told_signed_and_once(house: House, made: WithSecret, receiver: Receiver) -> None:
    hold = held(house)
    assert receiver.got == [], "nothing is sent by the one who holds"
    assert work(house.now) == 1
    assert work(house.now) == 0
    [(headers, body)], [said] = receiver.got, receiver.bodies
    assert stands(made.secret, headers, body)
    assert headers["content-type"] == "application/json"
    assert said["id"] == headers["webhook-id"] == Event.objects.get().message_id
    assert (said["type"], said["timestamp"]) == ("vehicle.held", "2026-09-01T15:00:00Z")
    assert said["data"] == {
        "vehicle": "A-101", "yard": "alder", "holds_open": 1,
        "hold": {
            "id": hold.pk, "uid": str(hold.uid), "reason": "person", "text": "Bent tie rod",
            "joint": None, "placed_at": "2026-09-01T15:00:00Z", "lifted_at": None,
        },
    }  # fmt: skip
    assert not Outbox.objects.filter(consumer="events").exists()


def test_another_secret_does_not_stand(house: House, made: WithSecret, receiver: Receiver) -> None:
    held(house)
    work(house.now)
    [(headers, body)] = receiver.got
    assert not stands("whsec_" + "A" * 43 + "=", headers, body)
    assert not stands(made.secret, headers, body + b" ")


def test_a_lifted_hold(house: House, made: WithSecret, receiver: Receiver) -> None:
    hold, other = held(house), held(house, "Leaks")
    house.later(hours=1)
    lift_hold(house.manager, hold.pk, Check(dry_steer=True, note="Looked over."), at=house.now)
    work(house.now)
    said = next(body for body in receiver.bodies if body["type"] == "hold.lifted")
    assert said["data"]["hold"]["id"] == hold.pk != other.pk
    assert said["data"]["hold"]["lifted_at"] == "2026-09-01T16:00:00Z"
    assert said["data"]["holds_open"] == 1


def test_a_missed_recheck(house: House, made: WithSecret, receiver: Receiver) -> None:
    joint = house.joint()
    row = build.recheck(house.vehicle, joint, ladder="own", due_on=house.now.date(),
                        falls_on=house.now.date(), started_at=house.now)  # fmt: skip
    house.later(days=2)
    roll.roll(server_actor(), at=house.now)
    work(house.now)
    [said] = [body for body in receiver.bodies if body["data"]["recheck"]["id"] == row.pk]
    assert said["type"] == "recheck.missed"
    assert said["data"]["recheck"] == {
        "id": row.pk, "uid": str(row.uid), "kind": "retorque", "due_on": "2026-09-01",
        "joint": {"id": joint.pk, "kind": "track_bar_frame_end", "side": ""},
        "fell_due_at": "2026-09-02T06:00:00Z",
    }  # fmt: skip


def test_an_opened_pattern(house: House, made: WithSecret, receiver: Receiver) -> None:
    for _ in range(3):
        house.tight()
        house.later(days=20)
        house.moved()
        house.later(days=20)
    deliver(house.manager, at=house.now)
    while work(house.now):
        pass
    said = next(body for body in receiver.bodies if body["type"] == "pattern.opened")
    row = Pattern.objects.get()
    assert said["data"]["pattern"]["id"] == row.pk
    assert (said["data"]["vehicle"], said["data"]["yard"]) == ("A-101", "alder")


class TestWhom:
    def test_only_what_it_wants(self, house: House, receiver: Receiver) -> None:
        hook(house, receiver, "hold.lifted")
        held(house)
        assert work(house.now) == 0

    def test_only_its_yard(self, house: House, receiver: Receiver) -> None:
        hook(house, receiver, yard_id=build.yard("Mesa").pk)
        hook(house, receiver, yard_id=house.yard.pk)
        held(house)
        assert work(house.now) == 1

    def test_nobody_while_it_is_off(self, house: House, receiver: Receiver) -> None:
        hook(house, receiver, is_on=False)
        held(house)
        assert work(house.now) == 0
        assert Event.objects.count() == 1, "so that it can be sent later"

    def test_what_waits_when_it_is_switched_off_waits(
        self, house: House, made: WithSecret, receiver: Receiver
    ) -> None:
        held(house)
        receiver.answers = [500]
        work(house.now)
        type(made.row).objects.update(is_on=False)
        assert work(house.now + timedelta(days=1)) == 0
        assert delivery().state == Delivery.State.WAITING


def test_two_workers_make_one_event(house: House, made: WithSecret, receiver: Receiver) -> None:
    """The lease ran out while the first was at it: the second's event is the only one."""
    held(house)
    notice = Outbox.objects.get(consumer="events")
    work(house.now)
    notice.pk = None
    notice.leased_until = None
    notice.save(force_insert=True)
    work(house.now)
    assert Event.objects.count() == 1
    assert len(receiver.got) == 1


def test_words_of_any_kind_arrive_as_they_are(
    house: House, made: WithSecret, receiver: Receiver
) -> None:
    held(house, 'Dirección dura – «clunk» "ja"')
    work(house.now)
    [(headers, body)] = receiver.got
    assert stands(made.secret, headers, body)
    assert receiver.bodies[0]["data"]["hold"]["text"] == 'Dirección dura – «clunk» "ja"'
    assert not Recheck.objects.filter(state="missed").exists()
