"""When the other program fails: waits that grow, giving up, sending again."""

import time
from datetime import timedelta
from itertools import pairwise
from typing import Any

import pytest
import time_machine

from fleet.operations import webhook_post, webhook_send
from fleet.operations.errors import Refused
from fleet.operations.holds import place_hold
from fleet.operations.webhook_send import LEASE, WAITS, wait_after
from fleet.operations.webhooks import (
    WithSecret,
    renew_secret,
    replay,
    send_again,
    send_all_again,
    send_test,
)
from fleet.records.models import Delivery, Event, Webhook
from tests.events.conftest import delivery, hook, work
from tests.operations.conftest import House
from tests.receiver import Receiver, stands


@pytest.fixture
def hold(house: House, made: WithSecret) -> Any:
    return place_hold(house.driver, house.vehicle.pk, "Bent", at=house.now).row


def at_its_time(row: Delivery) -> int:
    """The worker comes when it is due next."""
    with time_machine.travel(row.next_at, tick=False):
        return work(row.next_at)


@pytest.mark.parametrize("status", [500, 503, 404, 301, 302])
def test_an_error_is_tried_again_with_the_same_id_and_a_new_signature(
    status: int, hold: Any, receiver: Receiver, made: WithSecret, house: House
) -> None:
    """A redirect is a failure too: it is not followed (specification, 'Success and failure')."""
    receiver.answers = [status]
    receiver.headers = {"Location": receiver.address}
    with time_machine.travel(house.now, tick=False):
        work(house.now)
    row = delivery()
    assert (row.state, row.tries, row.status, row.reason) == ("waiting", 1, status, "status")
    assert at_its_time(row) == 1
    assert delivery().state == Delivery.State.TAKEN
    assert receiver.ids[0] == receiver.ids[1]
    (first, body), (second, same) = receiver.got
    assert body == same
    assert first["webhook-timestamp"] != second["webhook-timestamp"]
    assert stands(made.secret, second, same)


def test_the_waits_grow_over_three_days_and_then_it_is_given_up(
    hold: Any, receiver: Receiver, house: House
) -> None:
    """Specification, 'Deliverability and reliability': its example schedule, ten tries."""
    receiver.answers = [500] * 20
    moments = [house.now]
    with time_machine.travel(house.now, tick=False):
        work(house.now)
    while (row := delivery()).state == Delivery.State.WAITING:
        moments.append(row.next_at)
        at_its_time(row)
    assert tuple(b - a for a, b in pairwise(moments)) == WAITS
    assert moments[-1] - moments[0] == timedelta(hours=75, minutes=35, seconds=5)
    assert (row.state, row.tries, len(receiver.got)) == ("dead", 10, 10)
    assert work(moments[-1] + timedelta(days=9)) == 0


def test_chance_spreads_them_and_the_receiver_may_ask_for_longer() -> None:
    minutes = WAITS[1]
    assert wait_after(2, None, 0.0) == minutes
    assert wait_after(2, None, 1.0) == minutes * 1.2
    assert wait_after(2, 900, 0.0) == timedelta(minutes=15)
    assert wait_after(2, 10, 0.0) == minutes
    assert wait_after(2, 10**8, 0.0) == timedelta(days=1)


def test_what_it_asks_to_wait_is_heeded(hold: Any, receiver: Receiver, house: House) -> None:
    """RFC 9110, 10.2.3 Retry-After in seconds."""
    receiver.answers, receiver.headers = [429], {"Retry-After": "1200"}
    with time_machine.travel(house.now, tick=False):
        work(house.now)
    assert delivery().next_at == house.now + timedelta(seconds=1200)


def test_gone_is_gone(hold: Any, receiver: Receiver, house: House) -> None:
    """410: the other side wants no more, so it is switched off (RFC 9110, 15.5.11)."""
    receiver.answers = [410]
    work(house.now)
    assert delivery().state == Delivery.State.DEAD
    row = Webhook.objects.get()
    assert (row.is_on, row.is_gone) == (False, True)


def test_a_slow_answer_is_left_and_told(
    hold: Any, receiver: Receiver, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(webhook_post, "SECONDS_TO_CONNECT", 0.2)
    receiver.slow = 1.0
    work(house.now)
    assert (delivery().state, delivery().reason) == ("waiting", "late")


def test_an_answer_that_trickles_is_ended_all_the_same(
    hold: Any, receiver: Receiver, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each single wait is short; the whole is not (own bound)."""
    monkeypatch.setattr(webhook_post, "SECONDS_IN_ALL", 0.4)
    receiver.trickle = 0.05
    began = time.monotonic()
    work(house.now)
    assert time.monotonic() - began < 3
    assert (delivery().state, delivery().reason) == ("waiting", "late")


def test_nobody_there(hold: Any, receiver: Receiver, house: House) -> None:
    Webhook.objects.update(address="http://127.0.0.1:9/")
    work(house.now)
    assert (delivery().status, delivery().reason) == (None, "no_way")
    assert "refused" in delivery().detail.lower()


def test_a_dead_address_holds_up_no_other_and_is_called_once_a_turn(
    hold: Any, receiver: Receiver, house: House
) -> None:
    """What waits for it is not sent into the same wall one after the other."""
    dead = hook(house, receiver).row
    Webhook.objects.filter(pk=dead.pk).update(address="http://127.0.0.1:9/")
    for _ in range(3):
        place_hold(house.driver, house.vehicle.pk, "Bent again", at=house.now)
    work(house.now)
    assert len(receiver.got) == 4
    assert dead.deliveries.filter(tries=1).count() == 1
    assert dead.deliveries.filter(tries=0).count() == 3


def test_killed_after_sending_it_is_sent_again_with_its_id(
    hold: Any, receiver: Receiver, house: House, monkeypatch: pytest.MonkeyPatch
) -> None:
    """At least once: nothing was written down of the first."""
    with monkeypatch.context() as patch:
        patch.setattr(webhook_send, "_written", lambda *_: 0)
        work(house.now)
    assert work(house.now + LEASE / 2) == 0, "it is in somebody's hand"
    assert work(house.now + LEASE) == 1
    assert len(set(receiver.ids)) == 1
    assert delivery().state == Delivery.State.TAKEN


class TestByHand:
    def dead(self, house: House, receiver: Receiver) -> Delivery:
        receiver.answers = [410]
        work(house.now)
        Webhook.objects.update(is_on=True, is_gone=False)
        return delivery()

    def test_one_is_sent_again(self, hold: Any, receiver: Receiver, house: House) -> None:
        row = self.dead(house, receiver)
        send_again(house.manager, row.pk, at=house.now)
        assert (delivery().state, delivery().tries) == ("waiting", 0)
        work(house.now)
        assert delivery().state == Delivery.State.TAKEN
        assert len(set(receiver.ids)) == 1

    def test_all_that_were_given_up_are(self, hold: Any, receiver: Receiver, house: House) -> None:
        row = self.dead(house, receiver)
        send_all_again(house.manager, row.webhook_id, at=house.now)
        assert work(house.now) == 1

    def test_a_time_is_sent_again_and_what_it_never_had_too(
        self, hold: Any, receiver: Receiver, house: House
    ) -> None:
        work(house.now)
        late = hook(house, receiver).row
        house.later(hours=2)
        place_hold(house.driver, house.vehicle.pk, "Later", at=house.now)
        work(house.now)
        receiver.got.clear()
        first = Event.objects.order_by("at")[0]
        for each in Webhook.objects.all():
            replay(house.manager, each.pk, first.at, first.at + timedelta(hours=1), at=house.now)
        assert work(house.now) == 2
        assert set(receiver.ids) == {first.message_id}
        assert late.deliveries.count() == 2

    def test_a_time_in_which_nothing_happened_is_told(
        self, hold: Any, receiver: Receiver, house: House
    ) -> None:
        work(house.now)
        pk, day = Webhook.objects.get().pk, timedelta(days=1)
        for span in ((house.now + day, house.now + 2 * day), (house.now, house.now)):
            with pytest.raises(Refused):
                replay(house.manager, pk, *span, at=house.now)

    def test_a_test_arrives(self, made: WithSecret, receiver: Receiver, house: House) -> None:
        send_test(house.manager, made.row.pk, at=house.now)
        work(house.now)
        assert receiver.bodies[0]["type"] == "webhook.test"

    def test_after_a_new_secret_both_sign_for_a_day(
        self, made: WithSecret, receiver: Receiver, house: House
    ) -> None:
        with time_machine.travel(house.now, tick=False):
            new = renew_secret(house.manager, made.row.pk, at=house.now)
            send_test(house.manager, made.row.pk, at=house.now)
            work(house.now)
        house.later(hours=25)
        with time_machine.travel(house.now, tick=False):
            send_test(house.manager, made.row.pk, at=house.now)
            work(house.now)
        (soon, body), (late, other) = receiver.got
        assert [stands(s, soon, body) for s in (made.secret, new.secret)] == [True, True]
        assert [stands(s, late, other) for s in (made.secret, new.secret)] == [False, True]
