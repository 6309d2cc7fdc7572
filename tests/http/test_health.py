from service.app import create_app
from service.settings import Settings
from tests.client import Client, Contract
from tests.days import Clock
from tests.shops import new_desk


def test_it_lives_and_is_ready_and_says_so_to_anybody(stranger):
    assert {"status": "live"} == stranger.get("/health/live").body
    assert {"status": "ready"} == stranger.get("/health/ready").body


def test_with_its_database_away_it_lives_and_is_not_ready(tmp_path):
    desk = new_desk(f"sqlite:///{tmp_path}/nowhere/fitting.sqlite3", Clock())
    client = Client(Contract(create_app(Settings(), desk)))
    assert 200 == client.get("/health/live").status
    assert (503, "database_away", []) == client.get("/health/ready").problem
