"""Events told to a real program on this machine, by the worker's own operations."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest

from fleet.operations import events, webhook_send
from fleet.operations.actor import server_actor
from fleet.operations.webhooks import WebhookFacts, WithSecret, add_webhook
from fleet.records.models import Delivery
from tests.operations.conftest import House, make_house
from tests.receiver import Receiver, receiving

ALL = ("vehicle.held", "hold.lifted", "recheck.missed", "pattern.opened")


@pytest.fixture
def house(db: None) -> House:
    return make_house()


@pytest.fixture
def receiver(settings: Any) -> Iterator[Receiver]:
    settings.WEBHOOK_LOOPBACK = True
    with receiving() as told:
        yield told


def hook(house: House, receiver: Receiver, *wanted: str, **more: Any) -> WithSecret:
    facts = WebhookFacts("Dispatch", receiver.address, wanted or ALL, **more)
    return add_webhook(house.manager, facts, at=house.now)


@pytest.fixture
def made(house: House, receiver: Receiver) -> WithSecret:
    return hook(house, receiver)


def work(at: datetime, chance: float = 0.0) -> int:
    """One turn of the worker; how many tries it made."""
    events.publish(server_actor(), at=at)
    return webhook_send.send(at=at, chance=lambda: chance)


def delivery() -> Delivery:
    return Delivery.objects.select_related("event").get()
