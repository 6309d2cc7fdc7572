import subprocess
import sys

import pytest

from service.console import CONTRACT, HOUSE
from tests.console.commands import OPEN_SHOP, told


def test_a_new_database_is_migrated_and_then_takes_a_shop(console, empty_url):
    settings = {"FITTING_DATABASE_URL": empty_url}
    assert "migrated to head\n" == console("migrate", **settings).output
    assert 36 == len(console(*OPEN_SHOP, **settings).output.strip())


@pytest.mark.parametrize(
    ("settings", "line"),
    [
        (
            {"FITTING_DATABASE_URL": "mysql://root@localhost/x"},
            ("FITTING_DATABASE_URL is no address; it should be sqlite:///path or postgresql+psycopg://user@host/name"),
        ),
        ({"FITTING_BIND": "8080"}, "FITTING_BIND is '8080'; it should be host:port or unix:path"),
        ({"FITTING_WORKERS": "many"}, "FITTING_WORKERS is 'many'; it should be 1 to 99"),
    ],
    ids=["database", "bind", "workers"],
)
@pytest.mark.parametrize("command", ["serve", "migrate", "revoke-key"])
def test_a_wrong_setting_is_told_in_one_line(console, command, settings, line):
    words = [command, "x"] if command == "revoke-key" else [command]
    assert f"Error: {line}" == told(console(*words, **settings))


@pytest.mark.parametrize("command", [["migrate"], ["revoke-key", "x"]])
def test_a_database_that_is_away_is_told_in_one_line(console, nowhere_url, command):
    away = {"FITTING_DATABASE_URL": nowhere_url}
    assert "the database does not answer" in told(console(*command, **away))


def test_the_committed_contract_is_what_the_code_says(console):
    result = console("write-contract", "--check")
    assert (0, "") == (result.exit_code, result.output)


def test_writing_the_contract_that_is_written_changes_nothing(console):
    before = CONTRACT.read_bytes()
    # Only where the two agree: else this very test would write what the one above finds missing.
    assert 0 == console("write-contract", "--check").exit_code
    assert "" == console("write-contract").output
    assert before == CONTRACT.read_bytes()


def test_it_runs_as_a_module_and_names_its_commands():
    said = subprocess.run(
        [sys.executable, "-m", "service", "--help"], cwd=HOUSE, check=True, capture_output=True, text=True
    ).stdout
    commands = (
        "serve",
        "migrate",
        "add-shop",
        "say-on-slips",
        "add-key",
        "list-keys",
        "rotate-key",
        "revoke-key",
        "load-chart",
        "write-contract",
    )
    assert [] == [command for command in commands if command not in said]
