"""Work of another process held up in the middle, so that it can be killed there."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import OperationalError, connection, transaction

from fleet.records.models import Outbox


@contextmanager
def stuck_in_the_middle() -> Iterator[None]:
    """Whoever opens a pattern gets stuck before the commit, while the block lasts.

    On PostgreSQL the test lets nobody write to the table. SQLite has one lock for all writers,
    so there the insert itself is made to take for ever.
    """
    if connection.vendor == "postgresql":
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute("LOCK TABLE records_pattern IN SHARE MODE")
            yield
        return
    with connection.cursor() as cursor:
        cursor.execute(
            "CREATE VIEW endless AS WITH RECURSIVE n(i) AS "
            "(SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i FROM n"
        )
        cursor.execute(
            "CREATE TRIGGER stuck BEFORE INSERT ON records_pattern "
            "BEGIN SELECT count(*) FROM endless; END"
        )
    try:
        yield
    finally:
        with connection.cursor() as cursor:
            cursor.execute("DROP TRIGGER stuck")
            cursor.execute("DROP VIEW endless")


def someone_is_stuck() -> bool:
    """Whether another process holds on to a transaction that it can't end."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            # What was seen first in a transaction is shown again until it is asked anew.
            cursor.execute("SELECT pg_stat_clear_snapshot()")
            cursor.execute(
                "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
                "AND wait_event_type = 'Lock'"
            )
            return bool(cursor.fetchone()[0])
    return Outbox.objects.filter(leased_until__isnull=False).exists() and _write_lock_is_held()


def _write_lock_is_held() -> bool:
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout = 0")
        try:
            cursor.execute("BEGIN IMMEDIATE")
        except OperationalError:
            return True
        else:
            cursor.execute("ROLLBACK")
            return False
        finally:
            cursor.execute("PRAGMA busy_timeout = 20000")
