"""Facts do not change: the database refuses, whatever asks."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.apps import apps
from django.core import checks
from django.core.management import call_command
from django.db import DatabaseError, IntegrityError, connection, models, transaction
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from fleet.operations import meters
from fleet.records import guards
from fleet.records.models import (
    Complaint,
    Finding,
    Hold,
    Recheck,
    TabletOperation,
    Ticket,
    TicketLine,
)
from tests import build, far
from tests.operations.conftest import START, House
from tests.operations.tables import undone

REFUSED = (IntegrityError, DatabaseError)
FACTS = [guard.table for guard in guards.all_guards() if not guard.when]
BECOME = {guard.table: guard.when for guard in guards.all_guards() if guard.when}


def model_of(table: str) -> type[models.Model]:
    return next(m for m in apps.get_models() if m._meta.db_table == table)


def _save(row: Any) -> None:
    row.save()


def _queryset_update(row: Any) -> None:
    name = next(f.name for f in row._meta.concrete_fields if not f.primary_key)
    type(row)._default_manager.filter(pk=row.pk).update(**{name: getattr(row, name)})


def _bulk_update(row: Any) -> None:
    name = next(f.name for f in row._meta.concrete_fields if not f.primary_key)
    type(row)._default_manager.bulk_update([row], [name])


def _execute(statement: str, table: str) -> None:
    with connection.cursor() as cursor:
        cursor.execute(statement.format(table=connection.ops.quote_name(table)))


def _raw_update(row: Any) -> None:
    _execute("UPDATE {table} SET id = id", row._meta.db_table)


def _raw_delete(row: Any) -> None:
    _execute("DELETE FROM {table}", row._meta.db_table)


def _replace(row: Any) -> None:
    """As one gets round a trigger on SQLite where recursive triggers are off."""
    again = "INSERT OR REPLACE INTO {table} SELECT * FROM {table} WHERE id = "
    _execute(again + str(row.pk), row._meta.db_table)


def _truncate(row: Any) -> None:
    connection.check_constraints()  # what waits for the end of the transaction is not the guard
    _execute("TRUNCATE {table} CASCADE", row._meta.db_table)


ON_BOTH = [_save, _queryset_update, _bulk_update, _raw_update, _raw_delete]
ON_ONE = {"sqlite": [_replace], "postgresql": [_truncate]}


def refuses(row: Any, attempt: Callable[[Any], None]) -> bool:
    try:
        with transaction.atomic():
            attempt(row)
    except REFUSED as refused:
        return "a recorded fact does not change" in str(refused)
    return False


def test_every_fact_refuses_every_way_of_changing_it(
    history: House, subtests: pytest.Subtests
) -> None:
    for table in FACTS:
        row = model_of(table)._default_manager.order_by("pk").first()
        assert row is not None, f"no row of {table} to try"
        for attempt in ON_BOTH + ON_ONE[connection.vendor]:
            with subtests.test(table=table, way=attempt.__name__):
                assert refuses(row, attempt)
                assert model_of(table)._default_manager.filter(pk=row.pk).exists()


def test_rows_that_are_over_have_become_facts(history: House, subtests: pytest.Subtests) -> None:
    over = {
        Ticket: Ticket.objects.get(state="closed"),
        TicketLine: TicketLine.objects.filter(state="closed").first(),
        Hold: Hold.objects.exclude(lifted_at=None).first(),
        Recheck: Recheck.objects.filter(state="done").first(),
        TabletOperation: far.operation(
            far.tablet(history.yard, "Bay 2"), history.technician.person, state="accepted"
        ),
    }
    assert {model._meta.db_table for model in over} == set(BECOME)
    for model, row in over.items():
        for attempt in ON_BOTH + ON_ONE[connection.vendor]:
            with subtests.test(model=model.__name__, way=attempt.__name__):
                assert refuses(row, attempt)


def test_rows_that_are_not_over_may_change(house: House) -> None:
    house.inspect(house.look("track_bar_frame_end", "play", method="dry_steer"))
    ticket, hold = Ticket.objects.get(), Hold.objects.get()
    line, recheck = ticket.lines.first(), Recheck.objects.filter(state="owed").first()
    for row in (ticket, line, hold, recheck):
        assert row is not None
        _raw_update(row)
        _save(row)


def test_a_dropped_line_and_a_dropped_recheck_stay_as_they_are(house: House) -> None:
    owed = Recheck.objects.filter(state="owed").first()
    assert owed is not None
    owed.state, owed.drop_reason = "dropped", "for this test"
    owed.save()
    assert refuses(owed, _raw_update)
    ticket = house.ticket(("retorque", "track_bar_frame_end"))
    line = house.line(ticket, "retorque")
    line.state, line.drop_reason = "dropped", "for this test"
    line.save()
    assert refuses(line, _raw_delete)


def test_no_fact_table_stands_unguarded(db: None) -> None:
    assert guards.unguarded() == []
    assert checks.run_checks(tags=["database"], databases=["default"]) == []


def _drop_one_guard(table: str) -> None:
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(f"DROP TRIGGER guard_{table}_change ON {table}")
        else:
            cursor.execute(f"DROP TRIGGER guard_{table}_update")


def test_the_system_check_names_a_table_without_its_guard(db: None) -> None:
    table = Finding._meta.db_table
    _drop_one_guard(table)
    found = checks.run_checks(tags=["database"], databases=["default"])
    assert [error.id for error in found] == ["records.E001"]
    assert table in found[0].msg


def test_making_the_guards_again_changes_nothing(history: House) -> None:
    guards.make_guards(connection)
    guards.make_guards(connection)
    assert guards.unguarded() == []
    assert refuses(Finding.objects.first(), _raw_update)


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_a_rebuild_of_a_table_loses_its_guards_and_migrate_restores_them() -> None:
    """Django rebuilds a table on SQLite to alter it, and the triggers go without a word."""
    with connection.schema_editor() as editor:
        _remake(editor, Complaint)
    assert guards.unguarded() == [Complaint._meta.db_table]
    call_command("migrate", verbosity=0)
    assert guards.unguarded() == []


def _remake(editor: BaseDatabaseSchemaEditor, model: type[models.Model]) -> None:
    editor._remake_table(model)  # type: ignore[attr-defined]  # what every ALTER on SQLite does


def test_guards_are_lifted_inside_their_block_only(house: House) -> None:
    finding = house.moved().findings.get()
    with guards.lifted():
        _raw_update(finding)
        assert set(FACTS) <= set(guards.unguarded())
    assert guards.unguarded() == []
    assert refuses(finding, _raw_update)


def _change_and_fail(finding_id: int) -> None:
    with guards.lifted():
        Finding.objects.filter(pk=finding_id).update(note="written over")
        1 / 0  # noqa: B018  (any failure)


def test_a_block_that_fails_rolls_back_what_it_did_and_the_lifting(house: House) -> None:
    finding = house.moved().findings.get()
    with pytest.raises(ZeroDivisionError):
        _change_and_fail(finding.pk)
    assert Finding.objects.get(pk=finding.pk).note == ""
    assert guards.unguarded() == []
    assert refuses(finding, _raw_update)


VERBS = ("UPDATE {table} SET id = id", "DELETE FROM {table}", "TRUNCATE {table}")


def _as_the_site(statement: str, table: str) -> None:
    with transaction.atomic():
        _execute("SET LOCAL ROLE axlekeep_web", table)
        _execute(statement, table)


@pytest.mark.postgresql
def test_the_role_of_the_site_has_no_right_to_change_a_fact(
    history: House, subtests: pytest.Subtests
) -> None:
    for table in FACTS:
        for verb in VERBS:
            with (
                subtests.test(table=table, verb=verb),
                pytest.raises(DatabaseError, match="permission denied"),
            ):
                _as_the_site(verb, table)


@pytest.mark.postgresql
def test_the_role_of_the_site_reads_and_adds(history: House) -> None:
    with undone():
        with connection.cursor() as cursor:
            cursor.execute("SET LOCAL ROLE axlekeep_web")
        assert Finding.objects.exists()
        meters.record_meter(
            history.technician, meters.Reading(history.vehicle.pk, "48,900"),
            at=history.now + timedelta(days=9),
        )  # fmt: skip


@pytest.mark.postgresql
def test_no_row_that_may_become_a_fact_can_be_swept_away_at_once(house: House) -> None:
    for table in BECOME:
        row = model_of(table)(pk=0)
        assert refuses(row, _truncate)


def test_a_plain_role_name_only(settings: Any) -> None:
    with pytest.raises(ValueError, match="not a plain role name"):
        guards._rights(connection, 'web"; DROP TABLE records_finding; --')


def test_a_days_old_fact_is_as_fixed_as_todays(house: House) -> None:
    who = house.technician.person
    old = build.finding(house.joint(), who, at=START - timedelta(days=900))
    assert old.occurred_at.date() < date(2026, 1, 1)
    assert refuses(old, _raw_delete)
