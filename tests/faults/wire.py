"""A network that fails as a seed says, and a server that is killed in the middle."""

import http.client
import json
import os
import random
import threading
import time
from collections import Counter
from collections.abc import Callable
from typing import Any

from fleet.records.models import Tablet
from tests.faults.site import Site
from tests.tablets import FarTablet

FAULTS = ("none", "not_sent", "no_answer", "twice", "at_once", "cut_short", "killed")
SESSIONS = int(os.environ.get("SESSIONS", "100"))
# A restart takes as long as a hundred operations: of many sessions, a smaller share is killed.
KILLED = 3 if SESSIONS <= 200 else 1
WEIGHTS = (41, 12, 16, 12, 8, 8, KILLED)


class Wire:
    """How one tablet reaches the server."""

    def __init__(self, site: Site, seeded: random.Random, seen: Counter[str]) -> None:
        self.site, self.seeded, self.seen = site, seeded, seen

    def __call__(self, method: str, path: str, body: Any, token: str) -> tuple[int, Any]:
        """One request over a connection of its own. Raises OSError where none comes about."""
        connection = http.client.HTTPConnection("127.0.0.1", self.site.port, timeout=30)
        headers = {"Authorization": f"Tablet {token}", "Content-Type": "application/json"}
        try:
            connection.request(method, f"/api/v1/tablet/{path}", json.dumps(body), headers)
            answer = connection.getresponse()
            said = answer.read()
        except http.client.HTTPException as broken:
            raise OSError(str(broken)) from broken
        finally:
            connection.close()
        kind = answer.headers.get_content_subtype()
        return answer.status, json.loads(said) if "json" in kind else None

    def exchange(self, tablet: FarTablet) -> None:
        """One try to send what waits, with what befalls it on the way."""
        fault = self.seeded.choices(FAULTS, WEIGHTS)[0]
        self.seen[fault] += 1
        batch = tablet.batch()
        if fault == "cut_short":
            batch = batch[: self.seeded.randint(0, len(batch))]
        send = self._tries(tablet, batch, fault)
        answer = send()
        if answer is not None:
            tablet.hear(answer)

    def _tries(
        self, tablet: FarTablet, batch: list[dict[str, Any]], fault: str
    ) -> Callable[[], Any]:
        return {
            "not_sent": lambda: None,
            "no_answer": lambda: self._lost(tablet, batch),
            "twice": lambda: self._twice(tablet, batch),
            "at_once": lambda: self._at_once(tablet, batch),
            "killed": lambda: self._killed(tablet, batch),
        }.get(fault, lambda: self._plain(tablet, batch))

    def _plain(self, tablet: FarTablet, batch: list[dict[str, Any]]) -> Any:
        """The answer, or nothing where there is none that counts."""
        try:
            status, answer = tablet.send(batch)
        except OSError:
            return None
        assert status in (200, 503), (status, answer)
        return answer if status == 200 else None

    def _lost(self, tablet: FarTablet, batch: list[dict[str, Any]]) -> None:
        """Committed there, and never heard of here."""
        self._plain(tablet, batch)

    def _twice(self, tablet: FarTablet, batch: list[dict[str, Any]]) -> Any:
        self._plain(tablet, batch)
        return self._plain(tablet, batch)

    def _at_once(self, tablet: FarTablet, batch: list[dict[str, Any]]) -> Any:
        """The same batch from two connections: a proxy that tries again too early."""
        other = threading.Thread(target=self._plain, args=(tablet, batch))
        other.start()
        answer = self._plain(tablet, batch)
        other.join()
        return answer

    def _killed(self, tablet: FarTablet, batch: list[dict[str, Any]]) -> None:
        """SIGKILL while it works on the batch."""
        sending = threading.Thread(target=self._plain, args=(tablet, batch))
        sending.start()
        time.sleep(self.seeded.random() * 0.15)
        self.site.kill()
        sending.join()
        self.site.start()
        # Half a minute goes by: the lease of the exchange that was cut runs out.
        Tablet.objects.update(busy_until=None)
