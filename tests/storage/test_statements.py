"""Questions that the driver runs: they give what SQLAlchemy's own give, and fail as those do."""

from __future__ import annotations

from contextlib import closing, nullcontext
from uuid import uuid4

import pytest
from sqlalchemy import (
    Column,
    Integer,
    MetaData,
    String,
    Table,
    bindparam,
    func,
    insert,
    literal_column,
    select,
    text,
    update,
)
from sqlalchemy.exc import DBAPIError, IntegrityError, ProgrammingError

from service.storage import shops
from service.storage.columns import metadata
from service.storage.database import Database, DatabaseUnavailable
from service.storage.statements import Question
from service.storage.tables import shops as rows_of_shops
from tests.storage.kinds import KINDS, OF_A_KIND

NAMED = Question(select(rows_of_shops.c.name).where(rows_of_shops.c.id == bindparam("shop_id")))
OF_NAME = Question(select(rows_of_shops.c.id).where(rows_of_shops.c.name == bindparam("name")))


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_row_has_the_values_and_types_that_sqlalchemy_gives_it(context, kind):
    columns = [Column("place", Integer, primary_key=True), Column("kept", OF_A_KIND.get(kind, kind))]
    table = Table(f"asked_{kind.__name__}", MetaData(), *columns, prefixes=["TEMPORARY"])
    its = select(table).order_by(table.c.place)
    with context.database.writing() as tx:
        table.create(tx)
        given = [None, *KINDS[kind], None]
        tx.execute(insert(table), [{"place": place, "kept": value} for place, value in enumerate(given)])
        expected = [tuple(row) for row in tx.execute(its)]
        asked = Question(its)
        found = [asked.all(tx) for _ in range(7)]  # PostgreSQL prepares it on the way
        table.drop(tx)
    # In words too: they tell True from 1 and 1.0 from 1.
    assert {repr(expected)} == {repr([tuple(row) for row in rows]) for rows in found}
    assert [(place, None) for place in (0, len(given) - 1)] == [found[0][at] for at in (0, -1)]
    assert expected[1][1] == found[0][1].kept


@pytest.mark.parametrize("table", metadata.sorted_tables, ids=lambda table: table.name)
def test_every_table_can_be_asked_so(context, table):
    with context.database.reading() as tx:
        assert [tuple(row) for row in tx.execute(select(table).limit(3))] == [
            tuple(row) for row in Question(select(table)).all(tx)[:3]
        ]


@pytest.mark.parametrize(
    "said", ["' OR '1' = '1", "'; DROP TABLE shops; --", "%s", "%(name)s", ":name", "?", '"', "\\'"]
)
def test_what_a_caller_says_is_a_value_whatever_is_in_it(context, shop, said):
    with context.database.writing() as tx:
        assert [None, []] == [NAMED.one(tx, shop_id=said), OF_NAME.all(tx, name=said)]
        tx.execute(update(rows_of_shops).where(rows_of_shops.c.id == shop.id).values(name=said))
        assert [said] == [row.name for row in NAMED.all(tx, shop_id=shop.id)]
        assert shop.id in {row.id for row in OF_NAME.all(tx, name=said)}


def test_what_is_written_is_read_in_the_same_transaction_and_goes_with_it(context, shop):
    def say(words):
        with context.database.writing() as tx:
            shops.say_on_slips(tx, shop.id, ask_at=words)
            assert words == shops.find_shop(tx, shop.id).ask_at
            raise InterruptedError

    with pytest.raises(InterruptedError):
        say("counter 9")
    with context.database.reading() as tx:
        assert "" == shops.find_shop(tx, shop.id).ask_at


def test_who_reads_sees_one_state_whatever_is_written_meanwhile(context, shop):
    with context.database.reading() as tx:
        before = NAMED.one(tx, shop_id=shop.id)
        with context.database.writing() as other:
            other.execute(update(rows_of_shops).where(rows_of_shops.c.id == shop.id).values(name="Renamed"))
        assert before == NAMED.one(tx, shop_id=shop.id)
    with context.database.writing() as tx:
        assert "Renamed" == NAMED.one(tx, shop_id=shop.id).name


def test_one_that_fails_fails_as_others_do_and_leaves_its_connection_fit_for_use(house, shop):
    missing = Question(select(Table("no_such_table", MetaData(), Column("id", String))))
    with closing(Database(house.url, connections=1)) as database:
        for _ in range(2):
            with database.read_together() as together:
                with pytest.raises(Exception, match="no_such_table") as failed, together.reading() as tx:
                    missing.all(tx)
                assert isinstance(failed.value, DatabaseUnavailable | ProgrammingError)
                with together.reading() as tx:
                    assert shop.caller.shop.name == NAMED.one(tx, shop_id=shop.id).name


def test_a_transaction_that_could_not_be_committed_is_not_met_by_the_next(house, shop):
    # SQLite leaves it open then; what the next one writes would go the same way.
    name = f"kept_{uuid4().hex[:8]}"
    made = f"CREATE TABLE {name} (id INTEGER PRIMARY KEY, of INTEGER REFERENCES {name} DEFERRABLE INITIALLY DEFERRED)"
    with closing(Database(house.url, connections=1)) as database:
        with database.writing() as tx:
            tx.execute(text(made))
        for _ in range(2):
            with pytest.raises(IntegrityError), database.writing() as tx:
                tx.execute(text(f"INSERT INTO {name} (id, of) VALUES (1, 2)"))
            with database.reading() as tx:
                assert shop.caller.shop.name == NAMED.one(tx, shop_id=shop.id).name
                assert 0 == tx.execute(text(f"SELECT count(*) FROM {name}")).scalar_one()
        with database.writing() as tx:
            tx.execute(text(f"DROP TABLE {name}"))


@pytest.mark.parametrize("together", [False, True])
def test_a_connection_that_is_lost_between_two_questions_is_not_used_again(postgres_url, together):
    def lose(database, other):
        with database.reading() as tx:
            mine = tx.exec_driver_sql("SELECT pg_backend_pid()").scalar_one()
            with other.reading() as beside:
                assert beside.exec_driver_sql(f"SELECT pg_terminate_backend({mine}, 5000)").scalar_one()
            NAMED.all(tx, shop_id="nobody")

    with closing(Database(postgres_url, connections=1)) as database, closing(Database(postgres_url)) as other:
        for _ in range(2):
            with database.read_together() if together else nullcontext(database) as asked:
                with pytest.raises(DatabaseUnavailable):
                    lose(asked, other)
                with asked.reading() as tx:
                    assert [] == NAMED.all(tx, shop_id="nobody")


def test_who_reads_changes_nothing_and_what_was_prepared_stays_so(postgres_url):
    def write(database):
        with database.reading() as tx:
            tx.execute(text("UPDATE shops SET name = name"))

    with closing(Database(postgres_url, connections=1)) as database:
        with pytest.raises(DBAPIError, match="read-only"):
            write(database)
        for _ in range(12):
            with database.reading() as tx:
                NAMED.all(tx, shop_id="nobody")
        with database.reading() as tx:
            prepared = tx.exec_driver_sql("SELECT statement FROM pg_prepared_statements").scalars().all()
        assert [each for each in prepared if "shops.name" in each]
        with database.writing() as tx:
            tx.execute(text("UPDATE shops SET name = name"))


def test_one_that_takes_too_long_is_ended_as_others_are(postgres_url):
    slow = Question(select(func.pg_sleep(literal_column("600")).label("slept")))
    with closing(Database(postgres_url, wait_seconds=1, connections=1)) as database:
        with pytest.raises(DatabaseUnavailable, match="statement timeout"), database.reading() as tx:
            slow.all(tx)
        with database.reading() as tx:
            assert [] == NAMED.all(tx, shop_id="nobody")
