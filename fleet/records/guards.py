"""Guards on facts: the database itself refuses to change them.

Made by an idempotent handler after every migration and never by a migration alone, because
Django's table rebuild on SQLite drops triggers without a word. On PostgreSQL there is a row
trigger for UPDATE and DELETE and a statement trigger for TRUNCATE, and the role the site runs
as has no such right in the first place.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.conf import settings
from django.core.checks import CheckMessage, Error
from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model

from fleet.records.base import Fact


@dataclass(frozen=True)
class Guard:
    """A table, and the condition on the old row under which it may not change."""

    table: str
    when: str = ""

    @property
    def name(self) -> str:
        return f"guard_{self.table}"


# Rows that may change until they are over.
BECOME_FACTS = [
    ("Ticket", "OLD.state IN ('closed', 'cancelled')"),
    ("TicketLine", "OLD.state IN ('closed', 'dropped')"),
    ("Hold", "OLD.lifted_at IS NOT NULL"),
    ("Recheck", "OLD.state IN ('done', 'dropped')"),
    ("TabletOperation", "OLD.state IN ('accepted', 'answered', 'set_aside')"),
]


def all_guards() -> list[Guard]:
    """Every fact always; the rows that become facts, once they have."""
    records = apps.get_app_config("records")
    always: list[type[Model]] = [m for m in records.get_models() if issubclass(m, Fact)]
    always += [records.get_model(name) for name in ("TrailEntry", "Seal", "Baseline")]
    return [
        *[Guard(model._meta.db_table) for model in always],
        *[Guard(records.get_model(name)._meta.db_table, when) for name, when in BECOME_FACTS],
    ]


def make_guards(connection: BaseDatabaseWrapper) -> None:
    """Make every guard again; running it twice changes nothing."""
    statements = [POSTGRES_BODY] if connection.vendor == "postgresql" else []
    for guard in all_guards():
        statements += _drop(connection, guard) + _create(connection, guard)
    if connection.vendor == "postgresql" and settings.WEB_ROLE:
        statements += _rights(connection, settings.WEB_ROLE)
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


@contextmanager
def lifted(using: str = "default") -> Iterator[None]:
    """Take the guards away for the length of this block, inside one transaction.

    Only the test flush and operations/purge may use it. A failure rolls the removal back.
    """
    connection = connections[using]
    with transaction.atomic(using=using):
        with connection.cursor() as cursor:
            for guard in all_guards():
                for statement in _drop(connection, guard):
                    cursor.execute(statement)
        yield
        make_guards(connection)


def after_migrate(using: str = "default", **_: Any) -> None:
    make_guards(connections[using])


def all_facts_guarded(databases: Any = None, **_: Any) -> list[CheckMessage]:
    """A system check: name each fact table that stands unguarded."""
    return [
        Error(
            f"{table} is not guarded against change",
            hint="Run `manage.py migrate`: it makes the guards again.",
            id="records.E001",
        )
        for alias in databases or []
        for table in unguarded(alias)
    ]


def unguarded(using: str = "default") -> list[str]:
    """Tables that exist and should have a guard but have none."""
    connection = connections[using]
    sql = (
        "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled <> 'D'"
        if connection.vendor == "postgresql"
        else "SELECT name FROM sqlite_master WHERE type = 'trigger'"
    )
    with connection.cursor() as cursor:
        cursor.execute(sql)
        found = {row[0] for row in cursor.fetchall()}
        tables = set(connection.introspection.table_names(cursor))
    kinds = ["change", "truncate"] if connection.vendor == "postgresql" else ["update", "delete"]
    return [
        guard.table
        for guard in all_guards()
        if guard.table in tables and not {f"{guard.name}_{kind}" for kind in kinds} <= found
    ]


def _create(connection: BaseDatabaseWrapper, guard: Guard) -> list[str]:
    table = connection.ops.quote_name(guard.table)
    when = f"WHEN ({guard.when})" if guard.when else ""
    if connection.vendor == "postgresql":
        return [
            (
                f"CREATE TRIGGER {guard.name}_change BEFORE UPDATE OR DELETE ON {table} "
                f"FOR EACH ROW {when} EXECUTE FUNCTION axlekeep_refuse()"
            ),
            (
                f"CREATE TRIGGER {guard.name}_truncate BEFORE TRUNCATE ON {table} "
                f"FOR EACH STATEMENT EXECUTE FUNCTION axlekeep_refuse()"
            ),
        ]
    return [
        f"CREATE TRIGGER {guard.name}_{verb.lower()} BEFORE {verb} ON {table} {when} "
        f"BEGIN SELECT RAISE(ABORT, 'a recorded fact does not change: {guard.table}'); END"
        for verb in ("UPDATE", "DELETE")
    ]


def _drop(connection: BaseDatabaseWrapper, guard: Guard) -> list[str]:
    table = connection.ops.quote_name(guard.table)
    if connection.vendor == "postgresql":
        return [
            f"DROP TRIGGER IF EXISTS {guard.name}_{kind} ON {table}"
            for kind in ("change", "truncate")
        ]
    return [f"DROP TRIGGER IF EXISTS {guard.name}_{kind}" for kind in ("update", "delete")]


POSTGRES_BODY = (
    "CREATE OR REPLACE FUNCTION axlekeep_refuse() RETURNS trigger LANGUAGE plpgsql AS $$ "
    "BEGIN RAISE EXCEPTION 'a recorded fact does not change: %', TG_TABLE_NAME "
    "USING ERRCODE = 'integrity_constraint_violation'; END $$"
)


def _rights(connection: BaseDatabaseWrapper, role: str) -> list[str]:
    """The site's role reads and adds everywhere, and changes only what is not a fact."""
    if not re.fullmatch(r"[a-z_][a-z0-9_]{0,62}", role):
        raise ValueError(f"AXLEKEEP_WEB_ROLE is not a plain role name: {role!r}")
    facts = ", ".join(
        connection.ops.quote_name(guard.table) for guard in all_guards() if not guard.when
    )
    return [
        f"GRANT USAGE ON SCHEMA public TO {role}",
        f"GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA public TO {role}",
        f"GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA public TO {role}",
        f"REVOKE UPDATE, DELETE, TRUNCATE ON {facts} FROM {role}",
    ]
