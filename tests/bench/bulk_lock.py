"""How long others wait while something is brought in: somebody asks to write all the while."""

import sqlite3
import threading
import time
from types import TracebackType
from typing import Self

from django.db import connection

EVERY = 0.002


class Waiting:
    """Asks SQLite's write lock all the while; `longest` is the longest that it had to wait.

    PostgreSQL has no such lock: there it is None.
    """

    longest: float | None = None

    def __enter__(self) -> Self:
        self.over = threading.Event()
        self.thread = threading.Thread(target=self._ask)
        if connection.vendor == "sqlite":
            self.longest = 0.0
            self.thread.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:  # fmt: skip
        self.over.set()
        if self.thread.ident is not None:
            self.thread.join()

    def _ask(self) -> None:
        other = sqlite3.connect(connection.settings_dict["NAME"], timeout=0, isolation_level=None)
        began, over = time.perf_counter(), False
        while not over:
            over = self.over.is_set()
            try:
                other.execute("BEGIN IMMEDIATE")
                other.execute("ROLLBACK")
            except sqlite3.OperationalError:
                over = False
            else:
                self.longest = max(self.longest or 0.0, time.perf_counter() - began)
                began = time.perf_counter()
            time.sleep(EVERY)
        other.close()
