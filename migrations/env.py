"""How migrations run: online, against the URL that the caller passes, one transaction a migration."""

from __future__ import annotations

from alembic import context
from sqlalchemy import create_engine, event

from service.storage.tables import metadata

url = context.config.get_main_option("sqlalchemy.url")
if not url:
    raise SystemExit("run migrations with `fitting-service migrate`: it knows the database")

engine = create_engine(url)
if engine.dialect.name == "sqlite":

    @event.listens_for(engine, "connect")
    def _own_transactions(connection, _entry):
        # As in service/storage/database.py: the driver begins nothing by itself, and two migrations never overlap.
        connection.isolation_level = None
        connection.execute("PRAGMA journal_mode = WAL")

    @event.listens_for(engine, "begin")
    def _begin(connection):
        connection.exec_driver_sql("BEGIN IMMEDIATE")


try:
    with engine.connect() as connection:
        if engine.dialect.name == "postgresql":
            # A migration that cannot get its lock soon gives up, rather than stand in front of a shop's queue.
            connection.exec_driver_sql("SET lock_timeout = '5s'")
            connection.exec_driver_sql("SET statement_timeout = '60s'")
            connection.commit()
        context.configure(
            connection=connection,
            target_metadata=metadata,
            transaction_per_migration=True,
            render_as_batch=engine.dialect.name == "sqlite",
            compare_type=True,
        )
        with context.begin_transaction():
            context.run_migrations()
        connection.commit()
finally:
    engine.dispose()
