"""Role x yard x address x method, held against the table in permission_table.py."""

import json
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from django.test import Client
from django.urls import URLPattern, get_resolver, reverse

from fleet.records.models import Person, Role, Vehicle
from tests import build, people
from tests.addresses import _arguments, _of, _patterns
from tests.house.open_addresses import OPEN, OPEN_METHODS
from tests.house.permission_table import TABLE
from tests.web.rows import Fleet

LETTERS = dict(zip("MSTDRN", list(Role.values), strict=False))
# These read the body before they look up: only a body that can stand shows whom they let in.
BODIES: dict[str, dict[str, Any]] = {
    "api-ticket-second-check": {"passed": True, "dry_steer": True},
    "api-ticket-release": {"driver": "a helper", "place": "yard loop"},
    "api-ticket-road-test": {"passed": True},
    "api-due-road-test": {
        "driver": "a helper",
        "place": "yard loop",
        "speeds": "20, 40 mph",
        "passed": True,
    },
    "api-due-put-off": {"until": "2026-12-01", "reason": "The shop is full"},
    "api-rule-exception-end": {"reason": "Back on the road"},
    "api-plan-days": {"day": "2026-12-02", "locked": True},
    "api-visit-move": {"day": "2026-12-02"},
    "api-visit-pin": {"pinned": True},
    "api-person-let-go": {"reason": "moved away"},
    "api-line-entries": {"figures": {"torque": "125 lbf·ft"}},
}
BARRED, NOWHERE, SIGN_IN = 403, 404, (302, 401)


@dataclass(frozen=True)
class Row:
    name: str
    method: str
    scope: str
    roles: str


ROWS = [Row(*line.split()) for line in TABLE.strip().splitlines()]


def known_addresses() -> dict[str, URLPattern]:
    return {str(found.name): found for found in _patterns(get_resolver().url_patterns)}


def methods_of(found: URLPattern) -> set[str]:
    """What an address answers to: an API route says so; a page's are written in the table."""
    actions = getattr(found.callback, "actions", None) or {}
    return {method.upper() for method in actions if method != "head"}


def test_every_address_has_its_line() -> None:
    in_table = {row.name for row in ROWS}
    assert set(known_addresses()) == in_table | set(OPEN)
    missing = [
        (name, method)
        for name, found in known_addresses().items()
        if name not in OPEN
        for method in methods_of(found)
        if (name, method) not in {(row.name, row.method) for row in ROWS} | OPEN_METHODS
    ]
    assert missing == []


@dataclass
class Caller:
    """Somebody with a client that may call any address."""

    who: Person | None
    client: Client
    calls: int = 0

    def call(self, row: Row, address: str) -> int:
        self.calls += 1
        headers = {"Idempotency-Key": f"{self.calls}", "If-Match": '"999999"'}
        kind = "application/json" if row.name.startswith("api-") else "multipart/form-data"
        said = json.dumps(BODIES.get(row.name, {}))
        body: dict[str, Any] = {} if row.method == "GET" else {"content_type": kind, "data": said}
        if row.method == "POST" and not row.name.startswith("api-"):
            body = {}
        verb = getattr(self.client, row.method.lower())
        return int(verb(address, headers=headers, **body).status_code)


def signed_in(who: Person) -> Caller:
    client = Client(raise_request_exception=False)
    client.force_login(who)
    return Caller(who, client)


@pytest.fixture
def vehicle(db: None) -> Vehicle:
    return Fleet(people.manager(), 3).vehicle


def each_address(vehicle: Vehicle) -> Iterator[tuple[Row, str]]:
    """Every line of the table with an address that is there; what only reads comes first."""
    addresses, known = known_addresses(), with_posted(_arguments(vehicle))
    for row in sorted(ROWS, key=lambda row: row.method != "GET"):
        yield row, reverse(row.name, kwargs=_of(addresses[row.name], known))


@pytest.mark.parametrize("letter", LETTERS)
def test_the_table_holds(letter: str, vehicle: Vehicle) -> None:
    role, elsewhere = LETTERS[letter], build.yard("Elsewhere")
    own = signed_in(people.person(f"own {role}", role, vehicle.yard))
    other = signed_in(people.person(f"other {role}", role, elsewhere))
    wrong = [
        each
        for row, address in each_address(vehicle)
        for each in mismatches(letter, row, address, own, other)
    ]
    assert not wrong, "\n".join(wrong)


def test_nobody_gets_in_without_a_sign_in(vehicle: Vehicle) -> None:
    stranger = Caller(None, Client())
    answers = {(row.name, row.method): stranger.call(row, at) for row, at in each_address(vehicle)}
    assert {key: status for key, status in answers.items() if status not in SIGN_IN} == {}


def with_posted(known: dict[str, Any]) -> dict[str, Any]:
    """Arguments for the API's addresses that only take a POST, whose key is another noun's."""
    of = {
        name: known[f"api-{name}.pk"]
        for name in ("ticket", "complaint", "hold", "pattern", "interval", "sweep")
    }
    steps = ("lines", "cancel", "second-check", "release", "road-test", "close")
    return known | {f"api-ticket-{step}.pk": of["ticket"] for step in steps} | {
        "api-reading-withdraw.pk": known["reading_id"], "api-line-entries.pk": known["line_id"],
        "api-line-drop.pk": known["line_id"], "api-line-foretell.pk": known["line_id"],
        "api-complaint-answers.pk": of["complaint"],
        "api-hold-lift.pk": of["hold"], "api-pattern-judge.pk": of["pattern"],
        "api-yard-move-end.pk": known["move_id"], "api-leave-take-back.pk": known["leave_id"],
        "api-joint-fitting.pk": known["joint_id"],
        **{f"api-webhook-{verb}.pk": known["webhook_id"]
           for verb in ("secret", "test", "replay", "again")},
        "api-delivery-again.pk": known["delivery_id"],
        "api-feed-renew.pk": known["feed_id"], "api-feed-take-back.pk": known["feed_id"],
        **{f"api-visit-{verb}.pk": known["visit_id"]
           for verb in ("move", "pin", "take-out", "undo")},
        **{f"api-plan-run-{verb}.pk": known["run_id"] for verb in ("stop", "take", "leave")},
        **{f"api-interval-{verb}.pk": of["interval"]
           for verb in ("accept", "decline", "take-back")},
        **{f"api-sweep-{verb}.pk": of["sweep"] for verb in ("close", "take-back")},
        "api-tool-use-correct.pk": known["use_id"],
        "api-file-request-answer.pk": known["request_id"],
        "api-file-request-withdraw.pk": known["request_id"],
        **{f"api-person-{verb}.pk": known["person_id"] for verb in ("let-go", "take-back", "link")},
    }  # fmt: skip


def mismatches(letter: str, row: Row, address: str, own: Caller, other: Caller) -> Iterator[str]:
    """Where an answer to this role is not what the table says."""
    status = own.call(row, address)
    may = letter.lower() in row.roles.lower()
    if may and (row.scope == "own" or letter not in row.roles):
        # Nobody who calls here made it or is named for it; that those may is told by its own tests.
        if status != NOWHERE:
            yield f"{row.name} {row.method}: another's, but {letter} got {status}"
        return
    if may and (status in (BARRED, NOWHERE, 401) or status >= 500):
        yield f"{row.name} {row.method}: {letter} may, but got {status}"
    if not may and status != BARRED:
        yield f"{row.name} {row.method}: {letter} may not, but got {status}"
    if may and row.scope == "yard":
        status = other.call(row, address)
        if status != NOWHERE:
            yield f"{row.name} {row.method}: {letter} of another yard got {status}"
