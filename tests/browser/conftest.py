"""One Chromium for all browser tests, and a page of its own for each person."""

import os
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

import pytest
import time_machine
from django.core.cache import cache
from playwright.sync_api import Browser, Page, expect

from tests import build
from tests.operations.conftest import House, make_house
from tests.shop_people import with_password
from tests.support.chromium import launched
from tests.support.wire import Wire

Visit = Callable[..., Page]
# A machine that is busy with other work is slow, not wrong.
PATIENCE_MS = 20_000


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if "browser" in item.path.parts:
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Browser]:
    expect.set_options(timeout=PATIENCE_MS)
    # Playwright keeps an event loop in this thread, which Django would take for asynchronous use.
    with pytest.MonkeyPatch.context() as patch, launched(chromium) as browser:
        patch.setitem(os.environ, "DJANGO_ALLOW_ASYNC_UNSAFE", "true")
        yield browser


@contextmanager
def watched(browser: Browser, **options: Any) -> Iterator[Page]:
    """An empty page that fails the test when a script of ours fails or the policy blocks one."""
    complaints: list[str] = []
    context = browser.new_context(locale="en-US", **options)
    page = context.new_page()
    page.set_default_timeout(PATIENCE_MS)
    page.on("pageerror", lambda error: complaints.append(str(error)))
    page.on(
        "console",
        lambda said: (
            complaints.append(said.text) if "Content Security Policy" in said.text else None
        ),
    )
    yield page
    context.close()
    assert complaints == []


@pytest.fixture(autouse=True)
def nobody_signed_in_yet() -> None:
    """The clock begins each test at the same minute, in which only so many sign-ins are let in."""
    cache.clear()


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    with watched(browser) as page:
        yield page


@pytest.fixture
def visit(browser: Browser, live_server: Any) -> Iterator[Visit]:
    """A device of somebody's own, at the address of the house."""
    with ExitStack() as devices:

        def open_device(**options: Any) -> Page:
            device = watched(browser, **{"base_url": live_server.url, **options})
            return devices.enter_context(device)

        yield open_device


@pytest.fixture
def clock() -> Iterator[time_machine.Traveller]:
    """Noon of a Wednesday for the server, whatever day it is; it runs, and days can be let pass."""
    with time_machine.travel(build.NOW, tick=True) as clock:
        yield clock


@pytest.fixture
def house(transactional_db: None) -> Iterator[House]:
    """For the tablet page: people with passwords, and a clock that runs months behind the
    browser's own."""
    house = with_password(make_house())
    with time_machine.travel(house.now, tick=True):
        yield house


@pytest.fixture
def wire(live_server: Any) -> Iterator[Wire]:
    """A real wire to the site, which can be cut."""
    wire = Wire(live_server.url)
    yield wire
    wire.close()
