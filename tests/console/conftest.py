import pytest
from click.testing import CliRunner

from service.console import main

OPEN_SHOP = ["add-shop", "Corner Tailors", "--time-zone", "Europe/Dublin", "--currency", "EUR", "--plain-hem", "1200"]


@pytest.fixture
def console(database_url):
    def say(*words, **settings):
        environment = {"FITTING_DATABASE_URL": database_url, **settings}
        return CliRunner().invoke(main, list(words), env=environment)

    return say


@pytest.fixture
def shop_id(console):
    return console(*OPEN_SHOP).output.strip()


def told(result):
    """What went wrong, when that is one line and no traceback."""
    assert 1 == result.exit_code, result.output
    assert "Traceback" not in result.output
    (line,) = result.output.strip().splitlines()
    return line
