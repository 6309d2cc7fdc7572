"""Migrated databases for tests, and which of the two kinds a test runs on."""

import pytest
from alembic import command

from service.console import alembic_config


def migrated(url):
    command.upgrade(alembic_config(url), "head")
    return url


# For a test that is slow, of what no database can make another: it runs on one.
either_database = pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)
