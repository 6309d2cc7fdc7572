import pytest


@pytest.fixture
def database(desk):
    return desk.database
