import pytest
from click.testing import CliRunner

from service.console import main
from tests.console.commands import OPEN_SHOP


@pytest.fixture
def console(database_url):
    def say(*words, **settings):
        environment = {"FITTING_DATABASE_URL": database_url, **settings}
        return CliRunner().invoke(main, list(words), env=environment)

    return say


@pytest.fixture
def shop_id(console):
    return console(*OPEN_SHOP).output.strip()
