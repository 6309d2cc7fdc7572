"""Upgrading while the shop is open: no release is ever without a schema that it can work on."""

import json
import os
import re
import subprocess
import sys
import tarfile
import time
from datetime import UTC, date, datetime
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from uuid import uuid4

import pytest
from alembic import command
from alembic.script import ScriptDirectory
from sqlalchemy import (
    Boolean,
    Date,
    DateTime,
    Engine,
    Float,
    Integer,
    MetaData,
    create_engine,
    event,
    func,
    insert,
    select,
    update,
)
from sqlalchemy.dialects.postgresql import JSON as PG_JSON
from sqlalchemy.dialects.sqlite import JSON as LITE_JSON
from sqlalchemy.exc import OperationalError

from service.console import alembic_config
from tests.databases import one_quickly
from tests.house import HOUSE
from tests.postgres import new_database

SCRIPTS = list(reversed(list(ScriptDirectory.from_config(alembic_config("sqlite://")).walk_revisions())))
NAMES = [Path(script.path).stem for script in SCRIPTS]
STEPS = list(pairwise(script.revision for script in SCRIPTS))

DAY = HOUSE / "tests" / "storage" / "a_day.py"


@pytest.fixture
def postgres(postgres_server):
    with new_database(postgres_server) as url:
        yield url


def git(*words):
    return subprocess.run(["git", "-C", str(HOUSE), *words], check=True, capture_output=True).stdout


def previous_release(folder):
    """The code as it was before the newest migration, out of the history."""
    slug = NAMES[-1].partition("_")[2]
    for commit in git("rev-list", "--first-parent", "HEAD").decode().split():
        names = git("ls-tree", "--name-only", commit, "migrations/versions/").decode()
        if f"_{slug}.py" not in names:
            with tarfile.open(fileobj=BytesIO(git("archive", commit, "service", "pyproject.toml"))) as archive:
                archive.extractall(folder, filter="data")
            return folder
    pytest.fail("no release is older than the newest migration")


def lives_a_day(code, url, *shops):
    """A release's day on a database; what it answered."""
    environment = {name: value for name, value in os.environ.items() if not name.startswith(("FITTING_", "PYTHON"))}
    environment |= {"FITTING_DATABASE_URL": url, "PYTHONPATH": str(code)}
    words = [sys.executable, str(DAY), *shops]
    done = subprocess.run(words, cwd=code, env=environment, check=False, capture_output=True, text=True)
    assert 0 == done.returncode, done.stderr[-3000:]
    return json.loads(done.stdout.splitlines()[-1])


def test_the_head_file_names_the_newest_migration():
    # Two branches that each add a migration change this one line: git tells whoever comes second.
    assert f"{NAMES[-1]}\n" == (HOUSE / "migrations" / "HEAD").read_text("utf-8")


@pytest.mark.skipif(not (HOUSE / ".git").exists(), reason="no history: the previous release is not there")
@one_quickly("empty_url")
def test_the_previous_release_works_on_the_new_schema_beside_the_new_one(empty_url, tmp_path):
    before = previous_release(tmp_path / "before")
    command.upgrade(alembic_config(empty_url), "head")
    first = lives_a_day(HOUSE, empty_url)
    beside = lives_a_day(before, empty_url, first["shop"])
    after = lives_a_day(HOUSE, empty_url, beside["shop"])

    for day in (first, beside, after):
        counts = {name: value for name, value in day["answers"].items() if name.startswith("orders ")}
        statuses = {name: value for name, value in day["answers"].items() if name not in counts}
        assert {} == {name: code for name, code in statuses.items() if code not in (200, 201)}
        assert 201 == statuses["post /v1/orders new"]
        assert 200 == statuses["move to in_workroom new"]
        assert all(counts.values())
    # The old one worked in the shop that the new one had opened, and the new one in the old one's.
    for opener, visitor in ((first, beside), (beside, after)):
        assert 201 == visitor["answers"]["post /v1/orders old"]
        both = opener["answers"]["orders new"] + visitor["answers"]["orders new"]
        assert both == visitor["answers"]["orders old"]


@pytest.mark.parametrize(("before", "after"), STEPS)
def test_what_the_schema_before_knew_can_be_written_and_read_on_the_one_after(empty_url, before, after):
    config = alembic_config(empty_url)
    command.upgrade(config, before)
    engine = create_engine(empty_url)
    known = MetaData()
    known.reflect(engine)
    tables = [table for table in known.sorted_tables if table.name != "alembic_version"]
    with engine.begin() as connection:
        written(connection, tables)
    command.upgrade(config, after)
    with engine.begin() as connection:
        # The rows from before are there, and statements of before still run.
        assert {1} == {connection.execute(select(func.count()).select_from(table)).scalar_one() for table in tables}
        written(connection, tables)
        for table in tables:
            assert 2 == len(connection.execute(select(*table.c)).all())
            first = next(iter(table.c))
            connection.execute(update(table).values({first.name: first}))
    command.downgrade(config, before)
    with engine.begin() as connection:
        assert {2} == {connection.execute(select(func.count()).select_from(table)).scalar_one() for table in tables}
        for table in reversed(tables):
            connection.execute(table.delete())
    engine.dispose()


def written(connection, tables):
    """A row in each table, with what must be there and nothing else."""
    made = {}
    for table in tables:
        row = {}
        for column in table.c:
            (key,) = column.foreign_keys or (None,)
            if key is not None:
                row[column.name] = made[key.column.table.name][key.column.name]
            elif not column.nullable and column.server_default is None:
                row[column.name] = value_of(column)
        made[table.name] = row
        connection.execute(insert(table).values(**row))


def value_of(column):
    kind = column.type
    values = (
        (PG_JSON | LITE_JSON, {}),
        (Boolean, False),
        (Integer, int(uuid4()) % 1_000_000),
        (Float, 1.5),
        (DateTime, datetime(2026, 3, 2, 9, 0, tzinfo=UTC)),
        (Date, date(2026, 3, 2)),
    )
    text = str(uuid4())[: getattr(kind, "length", None) or 36]
    return next((value for types, value in values if isinstance(kind, types)), text)


def test_a_migration_that_cannot_get_its_lock_gives_up_and_leaves_the_schema_as_it_was(postgres):
    config = alembic_config(postgres)
    command.upgrade(config, "0001")
    engine = create_engine(postgres)
    with engine.connect() as reader, reader.begin():
        # Somebody reads for long; whoever came after a waiting migration would wait behind it.
        reader.exec_driver_sql("SELECT * FROM shops").all()
        began = time.monotonic()
        with pytest.raises(OperationalError, match="lock timeout"):
            command.upgrade(config, "0002")
        assert 4 < time.monotonic() - began
    with engine.connect() as connection:
        assert "0001" == connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar_one()
    command.upgrade(config, "head")
    engine.dispose()


def test_migrations_run_under_a_lock_and_a_statement_timeout(postgres):
    limits = []

    def look(connection, *_):
        limits.append(connection.exec_driver_sql("SELECT current_setting('lock_timeout')").scalar_one())
        limits.append(connection.exec_driver_sql("SELECT current_setting('statement_timeout')").scalar_one())

    for statement in statements(postgres, look):
        assert statement
    assert {"5s", "1min"} == set(limits)


# Each of these reads or rewrites a whole table under a lock that stops writing.
HEAVY = {
    "an index built while writers wait": r"^CREATE (UNIQUE )?INDEX (?!CONCURRENTLY)\S+ ON (?P<table>\w+)",
    "a column rewritten": r"^ALTER TABLE (?P<table>\w+) ALTER COLUMN \S+ TYPE",
    "a column checked for gaps": r"^ALTER TABLE (?P<table>\w+) ALTER COLUMN \S+ SET NOT NULL",
    "a constraint checked at once": r"^ALTER TABLE (?P<table>\w+) ADD CONSTRAINT (?!.*NOT VALID)",
    "a default reckoned for each row": r"^ALTER TABLE (?P<table>\w+) ADD COLUMN .*DEFAULT \w+\(",
    "a table rewritten": r"^(UPDATE|DELETE FROM) (?P<table>\w+)",
}
# These stay small whatever the shop does: a row a shop, a key or a day.
SMALL = {"shops", "keys", "charts", "webhooks", "key_origins", "alembic_version"}


def heavy(found):
    """What of the statements would hold up an open shop; tables that are made in the same run are still empty."""
    empty = {match[1] for each in found if (match := re.match(r"CREATE TABLE (\w+)", each))}
    return [
        f"{why}: {each[:120]}"
        for each in found
        for why, pattern in HEAVY.items()
        if (match := re.match(pattern, each)) and match["table"] not in empty | SMALL
    ]


def test_no_migration_holds_up_an_open_shop(postgres):
    command.upgrade(alembic_config(postgres), "0001")
    assert [] == heavy(statements(postgres))


def test_a_migration_that_would_hold_it_up_is_found():
    assert 3 == len(
        heavy(
            [
                "CREATE TABLE fresh (id INTEGER)",
                "CREATE INDEX ix_fresh_id ON fresh (id)",
                "CREATE INDEX ix_orders_day ON orders (promised_for)",
                "ALTER TABLE orders ALTER COLUMN number TYPE TEXT",
                "UPDATE orders SET version = 1",
                "ALTER TABLE orders ADD COLUMN version INTEGER DEFAULT '1' NOT NULL",
                "UPDATE shops SET week = '{}'",
            ]
        )
    )


def statements(url, look=None):
    """Every statement with which the migrations from here to the newest change the schema."""
    found = []

    def keep(connection, _cursor, statement, *_):
        words = " ".join(statement.split())
        if re.match(r"CREATE|ALTER|UPDATE|DELETE|DROP", words) and "alembic_version" not in words:
            found.append(words)
            if look:
                look(connection)

    event.listen(Engine, "before_cursor_execute", keep)
    try:
        command.upgrade(alembic_config(url), "head")
    finally:
        event.remove(Engine, "before_cursor_execute", keep)
    assert found
    return found
