"""Over HTTP all is asked on SQLite, and once more on PostgreSQL among the lengthy tests.

What the two databases do differently is held on both at any time: tests of storage, of use cases and of faults, and
those of these tests that have a database of their own.
"""

from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    for item in items:
        params = item.callspec.params if hasattr(item, "callspec") else {}
        if HERE in item.path.parents and params.get("database_url") == "postgres":
            item.add_marker(pytest.mark.lengthy)
