"""Migrated databases, and the service over them. Every test opens a shop of its own, so nothing is ever cleared."""

import gc
import os
import sys
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import settings

from tests.chromium import running_browser
from tests.client import Client
from tests.databases import migrated
from tests.postgres import new_database, running_server
from tests.serving import held_port
from tests.shops import new_shop, open_house

# No example is timed: the first one waits for tables, and a busy machine for its turn.
settings.register_profile("untimed", parent=settings.default, deadline=None)
settings.load_profile("untimed")

# What takes seconds to prepare, by its fixture: whoever watches reads what the tests wait for.
PREPARED = {
    "browser": "Chromium",
    "complaints": "the contract's linter",
    "grown": "shops with their orders",
    "image": "the image, by the steps of its Dockerfile",
    "postgres_server": "PostgreSQL",
    "python_client": "a client in Python, generated from the contract",
    "typescript_client": "a client in TypeScript, generated from the contract",
}


@pytest.hookimpl(tryfirst=True)
def pytest_fixture_setup(fixturedef, request):
    """Say what is being prepared, past what pytest captures of a test; nothing is set up here."""
    if fixturedef.argname in PREPARED and fixturedef.scope != "function":
        worker = os.environ.get("PYTEST_XDIST_WORKER", "tests")
        with request.config.pluginmanager.getplugin("capturemanager").global_and_fixture_disabled():
            sys.stderr.write(f"\n{worker}: preparing {PREPARED[fixturedef.argname]}\n")


# A worker reads 8,000 tests, which live as long as it does: no garbage is looked for among them.
gc.disable()


def pytest_collection_finish():
    gc.freeze()
    gc.enable()


@pytest.fixture(scope="session", autouse=True)
def _environment_of_nobody():
    """The service refuses a FITTING_ name that it does not know; nor are an operator's own settings any of a test's."""
    taken = {name: os.environ.pop(name) for name in list(os.environ) if name.startswith("FITTING_")}
    yield
    os.environ.update(taken)


@pytest.fixture(scope="session")
def postgres_server():
    with running_server() as server:
        yield server


@pytest.fixture(scope="session")
def in_memory(tmp_path_factory):
    """A folder in memory where there is one: no commit of a test waits for a disk, as on PostgreSQL none does."""
    memory = Path("/dev/shm")
    if not memory.is_dir():
        yield tmp_path_factory.mktemp("database")
        return
    with TemporaryDirectory(prefix="fitting-tests-", dir=memory) as folder:
        yield Path(folder)


@pytest.fixture(scope="session")
def sqlite_url(in_memory):
    return migrated(f"sqlite:///{in_memory}/fitting.sqlite3")


@pytest.fixture(scope="session")
def postgres_url(postgres_server):
    with new_database(postgres_server) as url:
        yield migrated(url)


@pytest.fixture(scope="session", params=["sqlite", "postgres"])
def database_url(request):
    return request.getfixturevalue(f"{request.param}_url")


@pytest.fixture(params=["sqlite", "postgres"])
def empty_url(request):
    """A database of the test's own, of either kind, without tables."""
    with _empty(request) as url:
        yield url


@pytest.fixture(scope="module", params=["sqlite", "postgres"])
def file_url(request):
    """A migrated database for one file of tests."""
    with _empty(request) as url:
        yield migrated(url)


@contextmanager
def _empty(request):
    if request.param == "sqlite":
        with TemporaryDirectory(dir=request.getfixturevalue("in_memory")) as folder:
            yield f"sqlite:///{folder}/own.sqlite3"
    else:
        with new_database(request.getfixturevalue("postgres_server")) as url:
            yield url


@pytest.fixture
def own_url(empty_url):
    """A migrated database of the test's own: things are done to it that others would notice."""
    return migrated(empty_url)


@pytest.fixture(params=["sqlite", "postgres"])
def nowhere_url(request, tmp_path):
    """Where there is no database, of either kind."""
    nobody = "postgresql+psycopg://nobody@127.0.0.1:1/nothing"
    return nobody if request.param == "postgres" else f"sqlite:///{tmp_path}/nowhere/fitting.sqlite3"


@pytest.fixture
def port():
    """A port of this machine that is held for a server of the test's."""
    with held_port() as port:
        yield port


@pytest.fixture(scope="session")
def _house(database_url):
    with open_house(database_url) as house:
        yield house


@pytest.fixture
def house(_house):
    _house.clock.start_again()
    return _house


@pytest.fixture
def clock(house):
    return house.clock


@pytest.fixture
def context(house):
    return house.context


@pytest.fixture
def shop(house):
    return new_shop(house)


@pytest.fixture
def staff(shop):
    """Somebody of the shop who may do everything."""
    return shop.staff


@pytest.fixture
def other_shop(house):
    return new_shop(house, name="Another Shop")


@pytest.fixture(scope="module")
def browser():
    """A browser for one file of tests: while it runs, its event loop is this process's."""
    with running_browser() as browser:
        yield browser


@pytest.fixture
def stranger(house):
    """Somebody without a key."""
    return Client(house.contract)
