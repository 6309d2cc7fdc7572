"""What a command brings into memory: nobody who names a key waits for the engine or the web framework."""

import json
import os
import subprocess
import sys

import pytest

from tests.house import HOUSE

# Runs commands one after the other in one process, `SHOP` and `KEY` being what the first two printed.
SCRIPT = """
import json, sys
from click.testing import CliRunner
from service.console import main

said = {}
for words in json.loads(sys.argv[1]):
    given = [said.get(word, word) for word in words]
    result = CliRunner().invoke(main, given, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    printed = {"add-shop": ("SHOP", result.output.strip()), "add-key": ("KEY", result.output.partition(".")[0])}
    said |= dict([printed[words[0]]]) if words[0] in printed else {}
print(json.dumps(sorted(name.partition(".")[0] for name in sys.modules)))
"""
OPEN = ["add-shop", "Corner Tailors", "--time-zone", "Europe/Dublin", "--currency", "EUR", "--plain-hem", "1200"]
GIVE = ["add-key", "SHOP", "till", "--scope", "advise"]
LIGHT = [
    ["list-keys", "SHOP"],
    ["rotate-key", "KEY"],
    ["revoke-key", "KEY"],
    ["keep-readings", "SHOP", "--days", "30"],
    ["forget-expired"],
    ["judge-by", "SHOP", "--by", "everyone"],
    ["reseal"],
    ["restored"],
]
ENGINE = {"numpy", "scipy", "pint"}
WEB = {"flask", "flask_smorest", "marshmallow", "gunicorn", "structlog", "urllib3"}
MIGRATING = {"alembic"}


def brought_by(database_url, *commands):
    environment = {name: value for name, value in os.environ.items() if not name.startswith("FITTING_")}
    environment |= {"FITTING_DATABASE_URL": database_url}
    words = [sys.executable, "-c", SCRIPT, json.dumps(commands)]
    done = subprocess.run(words, cwd=HOUSE, env=environment, check=False, capture_output=True, text=True)
    assert 0 == done.returncode, done.stderr[-2000:]
    return set(json.loads(done.stdout.splitlines()[-1]))


def test_commands_of_shops_keys_and_readings_bring_no_engine_and_no_web(database_url):
    brought = brought_by(database_url, OPEN, GIVE, *LIGHT)
    assert "sqlalchemy" in brought
    assert set() == brought & (ENGINE | WEB | MIGRATING)


def test_migrating_brings_no_engine_and_no_web(empty_url):
    assert MIGRATING == brought_by(empty_url, ["migrate"]) & (ENGINE | WEB | MIGRATING)


@pytest.mark.parametrize("command", ["--help", "new-readings-key"])
def test_what_needs_no_database_brings_no_engine_and_no_web(command):
    assert set() == brought_by("sqlite://", [command]) & (ENGINE | WEB | MIGRATING)
