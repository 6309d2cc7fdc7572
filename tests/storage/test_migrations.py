import re
from pathlib import Path

import pytest
from alembic import command
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import create_engine, inspect

from service.console import alembic_config
from service.storage.tables import metadata

OWN = {"alembic_version"}


@pytest.fixture
def scripts():
    return ScriptDirectory.from_config(alembic_config("sqlite://"))


def looked_at(url, look):
    engine = create_engine(url)
    try:
        with engine.connect() as connection:
            return look(connection)
    finally:
        engine.dispose()


def table_names(url):
    return looked_at(url, lambda connection: set(inspect(connection).get_table_names()) - OWN)


def differences(url):
    options = {"compare_type": True, "compare_server_default": True}
    return looked_at(
        url, lambda connection: compare_metadata(MigrationContext.configure(connection, opts=options), metadata)
    )


def test_the_migrated_schema_is_that_of_the_tables(empty_url):
    command.upgrade(alembic_config(empty_url), "head")
    assert set(metadata.tables) == table_names(empty_url)
    assert [] == differences(empty_url)


def test_migrations_go_up_down_and_up_again(empty_url):
    config = alembic_config(empty_url)
    command.upgrade(config, "head")
    command.downgrade(config, "base")
    assert set() == table_names(empty_url)
    command.upgrade(config, "head")
    assert [] == differences(empty_url)


def test_every_migration_goes_down_a_step_and_up_again(empty_url, scripts):
    config = alembic_config(empty_url)
    for script in reversed(list(scripts.walk_revisions())):
        command.upgrade(config, script.revision)
        command.downgrade(config, "-1")
        command.upgrade(config, script.revision)
    assert [] == differences(empty_url)


def test_migrating_twice_changes_nothing(empty_url):
    config = alembic_config(empty_url)
    command.upgrade(config, "head")
    command.upgrade(config, "head")
    assert [] == differences(empty_url)


def test_a_difference_would_be_found(empty_url):
    command.upgrade(alembic_config(empty_url), "head")
    engine = create_engine(empty_url)
    with engine.begin() as connection:
        connection.exec_driver_sql("ALTER TABLE orders DROP COLUMN needed_by")
    engine.dispose()
    assert [("add_column", "orders", "needed_by")] == [
        (kind, table, column.name) for kind, _, table, column in differences(empty_url)
    ]


def test_migrations_are_numbered_in_a_row_and_named_by_a_verb(scripts):
    names = sorted(Path(script.path).stem for script in scripts.walk_revisions())
    assert [f"{number:04}" for number in range(1, len(names) + 1)] == [name[:4] for name in names]
    assert [] == [name for name in names if not re.fullmatch(r"[0-9]{4}(_[a-z]+){2,}", name)]
    assert 1 == len(scripts.get_heads())
