"""A tablet as the server meets it: its log of signed operations, sent until each is at an end."""

import base64
import hashlib
import hmac
import json
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from uuid6 import uuid7

# (method, path below /api/v1/tablet/, body, token) -> (status, answer).
Transport = Callable[[str, str, Any, str], tuple[int, Any]]
MOST = 50


@dataclass(frozen=True)
class Hand:
    """Somebody who signs on this tablet."""

    person: int
    key_id: str
    key: bytes


@dataclass
class FarTablet:
    """What a tablet's page does over the wire; `waiting` is what it still holds."""

    wire: Transport
    token: str = ""
    n: int = 0
    waiting: list[dict[str, Any]] = field(default_factory=list)
    results: dict[str, dict[str, Any]] = field(default_factory=dict)
    # Its clock less the true one, and what it believes that to be.
    ahead_ms: int = 0
    offset_ms: int | None = None

    def enrol(self, code: str) -> int:
        status, said = self.wire("POST", "enrol/", {"code": code}, "")
        self.token = said.get("token", "")
        return status

    def sign_in(self, username: str, password: str) -> Hand:
        said = {"username": username, "password": password}
        status, told = self.wire("POST", "people/", said, self.token)
        assert status == 201, told
        return Hand(told["person"]["id"], told["key_id"], base64.b64decode(told["key"]))

    def does(
        self, hand: Hand, verb: str, body: Any, *, at: datetime | None = None,
        instead_of: str | None = None,
    ) -> str:  # fmt: skip
        """Write an operation down, signed; its uid."""
        self.n += 1
        moment = at or datetime.now(UTC)
        made = moment.strftime("%Y-%m-%dT%H:%M:%S.") + f"{moment.microsecond // 1000:03d}Z"
        one = {
            "uid": str(uuid7()), "n": self.n, "person": hand.person, "key": hand.key_id,
            "verb": verb, "made_at": made, "offset_ms": self.offset_ms,
            "instead_of": instead_of, "body": json.dumps(body),
        }  # fmt: skip
        one["mac"] = signed(hand.key, one)
        self.waiting.append(one)
        return str(one["uid"])

    def send(self, operations: list[dict[str, Any]], sent_at: datetime | None = None) -> Any:
        """One exchange; the answer as it came."""
        moment = sent_at or datetime.now(UTC)
        body = {
            "schema": 1, "app": "test", "sent_at": moment.isoformat(),
            "waiting": len(self.waiting), "operations": operations,
        }  # fmt: skip
        return self.wire("POST", "sync/", body, self.token)

    def batch(self) -> list[dict[str, Any]]:
        """What goes next: in the order made, what stands in place of a refused one before those
        that it frees."""
        place: dict[str, int] = {}
        for one in sorted([*self.waiting, *self.results.values()], key=lambda one: one["n"]):
            place[one["uid"]] = place.get(one["instead_of"] or "", one["n"])
        return sorted(self.waiting, key=lambda one: (place[one["uid"]], one["n"]))[:MOST]

    def hear(self, answer: Any) -> None:
        """Keep the results; what is at an end waits no longer."""
        by_uid = {one["uid"]: one for one in self.waiting}
        for result in answer["results"]:
            sent = by_uid.get(result["uid"])
            mine = {name: sent[name] for name in ("n", "instead_of")} if sent else {}
            self.results[result["uid"]] = {"n": 0, "instead_of": None, **result, **mine}
            if result["status"] != "parked":
                self.waiting = [one for one in self.waiting if one["uid"] != result["uid"]]

    def sync(self, sent_at: datetime | None = None) -> list[dict[str, Any]]:
        """Send what waits once, and hear what became of it."""
        status, answer = self.send(self.batch(), sent_at)
        assert status == 200, answer
        self.hear(answer)
        results: list[dict[str, Any]] = answer["results"]
        return results

    def became(self, uid: str) -> str:
        """What became of an operation; 'waiting' while nothing is known."""
        return str(self.results[uid]["status"]) if uid in self.results else "waiting"

    def codes(self, uid: str) -> set[str]:
        return {problem["code"] for problem in self.results[uid]["problems"]}


def signed(key: bytes, one: dict[str, Any]) -> str:
    """The signature of an operation (RFC 2104, SHA-256), written here a second time on purpose."""
    body = hashlib.sha256(one["body"].encode()).hexdigest()
    text = "\n".join([
        one["uid"], str(one["n"]), one["verb"], one["made_at"], one["instead_of"] or "", body,
    ])  # fmt: skip
    digest = hmac.new(key, text.encode(), hashlib.sha256).digest()
    return base64.urlsafe_b64encode(digest).rstrip(b"=").decode()
