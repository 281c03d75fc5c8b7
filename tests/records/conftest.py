"""The same small fleet as the operations' tests have."""

import pytest

from tests.operations.conftest import House, make_house


@pytest.fixture
def house(db: None) -> House:
    return make_house()
