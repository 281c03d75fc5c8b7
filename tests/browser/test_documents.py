"""The document page of the API, under the strict policy of every page."""

from typing import Any

import pytest
from playwright.sync_api import Page, expect

from tests import build, people

# What it shows hangs on no rule of the database.
pytestmark = pytest.mark.sqlite


def test_it_shows_every_noun_and_the_policy_blocks_nothing(
    page: Page, live_server: Any, client: Any
) -> None:
    technician = people.technician(build.yard())
    client.force_login(technician)
    value = client.cookies["sessionid"].value
    page.context.add_cookies([{"name": "sessionid", "value": value, "url": live_server.url}])

    page.goto(f"{live_server.url}/api/v1/documents/")

    expect(page.get_by_role("heading", name="Axlekeep")).to_be_visible()
    expect(page.get_by_text("/api/v1/complaints/", exact=True).first).to_be_visible()
