import pytest


@pytest.fixture
def database(context):
    return context.database
