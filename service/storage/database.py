"""Connections and transactions. Every commit of the service happens here.

SQLite is the embedded default: write-ahead log, full sync, and every writing transaction takes the write lock when
it begins, because one that reads first and writes later fails under load whatever the timeout. PostgreSQL is where
a chain runs.
"""

from __future__ import annotations

import random
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, ExitStack, contextmanager
from copy import copy
from functools import partial
from typing import Any, TypeAlias, TypeVar

import orjson
from sqlalchemy import Connection, Engine, Select, create_engine, event, select
from sqlalchemy.engine import make_url
from sqlalchemy.exc import DBAPIError, OperationalError, ProgrammingError
from sqlalchemy.exc import TimeoutError as PoolTimeout
from sqlalchemy.pool import ConnectionPoolEntry
from typing_extensions import override

from service.storage.columns import metadata
from service.storage.sealing import SEALING, Sealing, SealKeyMissing
from service.storage.tables import shops

T = TypeVar("T")
# What a use case holds while it works; only this room looks inside.
Transaction: TypeAlias = Connection

WAIT_SECONDS = 10
CONNECTIONS = 5
# What waiting for nobody comes to.
HARDLY_MS = 20
WRITES = "writes"
WAITS = "waits"
# SQLSTATE 40001 and 40P01: two transactions stood in each other's way, and the database undid one of them.
UNDONE = ("40001", "40P01")
# How long one that gave way stands aside: the other must wake and take what it waited for, or both are in a ring again.
ASIDE_SECONDS = (0.05, 0.15)


class DatabaseUnavailable(Exception):
    """The database cannot be reached or is locked for too long; nothing of the transaction stays."""


class TransactionUndone(DatabaseUnavailable):
    """The database chose this transaction to give way to another; nothing of it stays, and asked again it will do."""


def again_if_undone(work: Callable[[], T]) -> T:
    """What `work` gives; where the database undid it for another's sake, it is run again, once, a moment later.

    `work` is one transaction, and nothing outside of the database changes in it.
    """
    try:
        return work()
    except TransactionUndone:
        _stand_aside()
        return work()


def _stand_aside() -> None:
    # Not the same for all, or two that gave way to a third would meet again.
    time.sleep(random.uniform(*ASIDE_SECONDS))  # noqa: S311  nobody gains by guessing it


class Database:
    """One database, by its URL (`sqlite:///path` or `postgresql+psycopg://...`). Opens nothing until used.

    Whoever waits longer than `wait_seconds` for one of `connections` or for a lock is told DatabaseUnavailable. What
    was read of customers is sealed with the first of `seal_keys` and opened with any of them.
    """

    def __init__(
        self, url: str, wait_seconds: int = WAIT_SECONDS, seal_keys: Sequence[str] = (), connections: int = CONNECTIONS
    ) -> None:
        self._engine = _engine(url, wait_seconds, Sealing(seal_keys), connections)
        self._migrated = False
        self._within: Transaction | None = None
        self._shared: _SharedReading | None = None

    def joining(self, tx: Transaction) -> Database:
        """The same database for a part of that transaction: what is read and written there ends with it, or not."""
        joined = copy(self)
        vars(joined)["_within"] = tx
        return joined

    @contextmanager
    def read_together(self) -> Iterator[Database]:
        """The same database while the block lasts: what is read until something is written is read in one transaction.

        Who asks and what he asks for are so one look at one state of the database.
        """
        together = copy(self)
        with _SharedReading(self._read) as vars(together)["_shared"]:
            yield together

    @contextmanager
    def reading(self) -> Iterator[Transaction]:
        """A transaction that sees one state of the database and changes nothing."""
        if self._within is not None:
            yield self._within
        elif self._shared is not None:
            with self._shared.part() as connection:
                yield connection
        else:
            with self._read() as connection:
                yield connection

    @contextmanager
    def _read(self) -> Iterator[Transaction]:
        with _told_apart(), self._engine.connect() as connection:
            if connection.dialect.name == "postgresql":
                connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)
            with connection.begin():
                yield connection
                _end_reading(connection)

    @contextmanager
    def writing(self, *, patient: bool = True) -> Iterator[Transaction]:
        """A transaction whose changes all stay when the block ends, or none.

        One that is not `patient` is told DatabaseUnavailable at once where another holds what it needs.
        """
        if self._within is not None:
            with self._within.begin_nested():
                yield self._within
            return
        if self._shared is not None:
            self._shared.end()
        with _told_apart(), self._engine.connect() as connection:
            connection.execution_options(**{WRITES: True, WAITS: patient})
            # Leaving this block is the one commit; an exception on the way out is the one rollback.
            with connection.begin():
                if not patient and connection.dialect.name == "postgresql":
                    connection.exec_driver_sql(f"SET LOCAL lock_timeout = '{HARDLY_MS}ms'")
                yield connection

    def answers(self) -> bool:
        """Whether the database can be asked at all."""
        return self._gives(select(1))

    def has_tables(self) -> bool:
        """Whether it has been migrated as far as this release needs: every table is there with every column."""
        if not self._migrated:
            self._migrated = self._gives(*(select(table).limit(0) for table in metadata.sorted_tables))
            return self._migrated
        # Tables do not go again: later a look at one of them is enough.
        return self._gives(select(shops.c.id).limit(1))

    def _gives(self, *questions: Select[Any]) -> bool:
        try:
            with self.reading() as connection:
                for question in questions:
                    connection.execute(question)
        except (DatabaseUnavailable, ProgrammingError):
            return False
        return True

    def close(self) -> None:
        """Let go of every connection."""
        self._engine.dispose()


class _SharedReading(AbstractContextManager["_SharedReading"]):
    """One reading transaction for several parts, begun by the first; it ends with the block, or when one asks for it.

    A part that fails ends it too: PostgreSQL goes on with none in which a statement failed.
    """

    def __init__(self, read: Callable[[], AbstractContextManager[Transaction]]) -> None:
        self._read = read
        self._held = ExitStack()
        self._connection: Transaction | None = None
        self._parts = 0

    @contextmanager
    def part(self) -> Iterator[Transaction]:
        """What a part reads with."""
        if self._connection is None:
            self._connection = self._held.enter_context(self._read())
        self._parts += 1
        try:
            with _told_apart():
                yield self._connection
        except (DatabaseUnavailable, DBAPIError):
            self._end()
            raise
        finally:
            self._parts -= 1

    def end(self) -> None:
        """End it, unless a part of it still reads; what is read after that begins another."""
        if not self._parts:
            self._end()

    def _end(self) -> None:
        self._connection = None
        self._held.close()

    @override
    def __exit__(self, *_: object) -> None:
        self._end()


def _engine(url: str, wait_seconds: int, sealing: Sealing, connections: int) -> Engine:
    sqlite = make_url(url).get_backend_name() == "sqlite"
    options: dict[str, Any] = {
        "json_serializer": lambda value: orjson.dumps(value).decode(),
        "json_deserializer": orjson.loads,
        "pool_timeout": wait_seconds,
        "pool_size": connections,
        "max_overflow": 0,
        # A customer's readings are parameters: they never reach the log.
        "hide_parameters": True,
        "execution_options": {SEALING: sealing},
    }
    if sqlite:
        options["connect_args"] = {"timeout": wait_seconds, "check_same_thread": False}
    else:
        # What is prepared is planned for what is asked all the same: a chain's largest shop has a hundred times the
        # rows of its smallest.
        limits = (
            f"-c statement_timeout={wait_seconds}s -c lock_timeout={wait_seconds}s -c plan_cache_mode=force_custom_plan"
        )
        options |= {"pool_pre_ping": True, "connect_args": {"options": limits, "connect_timeout": wait_seconds}}
    engine = create_engine(url, **options)
    if sqlite:
        event.listen(engine, "connect", _prepare_sqlite)
        event.listen(engine, "begin", partial(_begin_sqlite, 1000 * wait_seconds))
    return engine


def _prepare_sqlite(connection: Any, _entry: ConnectionPoolEntry) -> None:  # noqa: ANN401  the driver's own
    # The driver must not begin transactions by itself: `_begin_sqlite` does.
    connection.isolation_level = None
    for pragma in ("journal_mode = WAL", "synchronous = FULL", "foreign_keys = ON"):
        connection.execute(f"PRAGMA {pragma}")


def _begin_sqlite(wait_ms: int, connection: Connection) -> None:
    options = connection.get_execution_options()
    if not options.get(WAITS, True):
        wait_ms = HARDLY_MS
    # The connection may come from a transaction that waited otherwise.
    if connection.info.get(WAITS) != wait_ms:
        connection.exec_driver_sql(f"PRAGMA busy_timeout = {wait_ms}")
        connection.info[WAITS] = wait_ms
    if options.get(WRITES, False):
        connection.exec_driver_sql("BEGIN IMMEDIATE")
    else:
        # It waits for nobody, and by the driver alone it takes 1 us in the place of 15.
        connection.connection.cursor().execute("BEGIN")


def _end_reading(connection: Connection) -> None:
    if connection.dialect.name == "postgresql" and not connection.invalidated:
        # It has changed nothing, for it may not. When it rolls back, psycopg forgets what it has prepared and has the
        # server forget it: what is read then takes the server x1.4 to x1.6 of the CPU.
        connection.commit()
    else:
        connection.rollback()


@contextmanager
def _told_apart() -> Iterator[None]:
    """Tell a database that is away or busy from a fault of ours."""
    try:
        yield
    except SealKeyMissing as error:
        raise DatabaseUnavailable(str(error)) from error
    except OperationalError as error:
        undone = getattr(error.orig, "sqlstate", None) in UNDONE
        raise (TransactionUndone if undone else DatabaseUnavailable)(str(error.orig)) from error
    except PoolTimeout as error:
        raise DatabaseUnavailable(str(error)) from error
    except DBAPIError as error:
        if error.connection_invalidated:
            raise DatabaseUnavailable(str(error.orig)) from error
        raise
