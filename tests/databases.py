"""Migrated databases for tests, and which of the two kinds a test runs on."""

import pytest
from alembic import command

from service.console import alembic_config


def migrated(url):
    command.upgrade(alembic_config(url), "head")
    return url


# For a test that is slow, of what no database can make another: it runs on one.
either_database = pytest.mark.parametrize("database_url", ["sqlite"], indirect=True)


def one_quickly(url="database_url"):
    """For a test that starts processes for seconds: on one database always, on the other among the lengthy tests."""
    both = ["sqlite", pytest.param("postgres", marks=pytest.mark.lengthy)]
    return pytest.mark.parametrize(url, both, indirect=True)
