"""A database for each file of these tests: every shop's webhooks are delivered, whatever other tests left due."""

import pytest

from tests.shops import open_house


@pytest.fixture(scope="module")
def _house(file_url):
    with open_house(file_url) as house:
        yield house
