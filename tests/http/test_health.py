from alembic import command
from alembic.script import ScriptDirectory

from service.app import create_app
from service.console import alembic_config
from service.settings import Settings
from tests.client import Client, Contract
from tests.days import Clock
from tests.shops import new_desk

NEWEST, *_, FIRST = [
    script.revision for script in ScriptDirectory.from_config(alembic_config("sqlite://")).walk_revisions()
]


def test_it_lives_and_is_ready_and_says_so_to_anybody(stranger):
    assert {"status": "live"} == stranger.get("/health/live").body
    assert {"status": "ready"} == stranger.get("/health/ready").body


def test_with_its_database_away_it_lives_and_is_not_ready(nowhere_url):
    context = new_desk(nowhere_url, Clock())
    client = Client(Contract(create_app(Settings(), context)))
    assert 200 == client.get("/health/live").status
    assert (503, "database_away", []) == client.get("/health/ready").problem


def test_it_is_ready_only_when_the_tables_are_those_of_this_release(empty_url):
    context = new_desk(empty_url, Clock())
    client = Client(Contract(create_app(Settings(), context)))
    statuses = []
    for step in (None, FIRST, NEWEST):
        if step:
            command.upgrade(alembic_config(empty_url), step)
        statuses.append(client.get("/health/ready").status)
    # Asked again, one look is enough.
    statuses.append(client.get("/health/ready").status)
    context.database.close()
    assert [503, 503, 200, 200] == statuses
