"""The row of the table that writes: closing a ticket with twelve lines, beside its bare rows."""

import json
from dataclasses import replace

from django.test import Client
from django.utils import timezone

from fleet.records.models import Ticket
from tests.bench.bare import BareClose
from tests.bench.doors import at_the_api, read
from tests.bench.fleet_of import Size, add_for_closing
from tests.bench.ground import Ground
from tests.bench.measure import WARM, Row, measure
from tests.bench.read_rows import EMPTY_JSON
from tests.bench.ready import copy_ready, pair_up, ready_ticket

GOAL = 4.0


def close_row(ground: Ground, size: Size, rounds: int) -> Row:
    """Each pair closes a ticket over HTTP and writes the same rows bare for its twin."""
    client = at_the_api(ground.manager)
    pairs = Pairs(ground, size, WARM + rounds + 1, client)
    row = measure(
        "Close 12 lines, API", pairs.close, lambda _n: read(client, EMPTY_JSON), pairs.write_bare,
        rounds=rounds, goal=GOAL, between=pairs.make_bare,
    )  # fmt: skip
    for bare in pairs.written:
        bare.check()
    return replace(row, facts=pairs.written[0].rows)


class Pairs:
    """Tickets two by two: one to close, and its twin to write bare."""

    def __init__(self, ground: Ground, size: Size, rounds: int, client: Client) -> None:
        self.client = client
        pattern, *vehicles = add_for_closing(ground, size, 2 * rounds + 1)
        ticket = ready_ticket(pattern, timezone.now())
        ticket.refresh_from_db()
        tickets = [copy_ready(ticket, vehicle) for vehicle in vehicles]
        self.waiting = list(zip(tickets[::2], tickets[1::2], strict=True))
        self.pair = self.waiting[0]
        self.written: list[BareClose] = []

    def close(self, _n: int) -> None:
        """Over HTTP, the whole answer: the ticket as it reads now."""
        self.pair = self.waiting.pop()
        ticket, _twin = self.pair
        answer = self.client.post(
            f"/api/v1/tickets/{ticket.pk}/close/", json.dumps({}), "application/json",
            headers={"If-Match": f'"{ticket.version}"', "Idempotency-Key": f'"close-{ticket.pk}"'},
        )  # fmt: skip
        if answer.status_code != 200:
            raise SystemExit(f"The close was refused: {answer.content[:500]!r}")

    def make_bare(self) -> None:
        ticket, twin = self.pair
        done = Ticket.objects.select_related("vehicle").get(pk=ticket.pk)
        self.written.append(BareClose(done, twin, pair_up(done, twin)))

    def write_bare(self, _n: int) -> None:
        self.written[-1].run()
