"""Run by Alembic: takes the connection that schema.py hands over, or makes one for `revision`."""

from __future__ import annotations

from alembic import context
from sqlalchemy import Connection, create_engine

from bot.store.tables import METADATA


def run(connection: Connection) -> None:
    """Run the steps in the transaction that is already open, SQLite's too."""
    context.configure(
        connection=connection,
        target_metadata=METADATA,
        render_as_batch=True,  # SQLite alters a table by copying it
        transactional_ddl=True,  # our engine begins its transactions itself, so SQLite can
    )
    with context.begin_transaction():
        context.run_migrations()


given = context.config.attributes.get("connection")
if given is not None:
    run(given)
else:
    with create_engine(context.config.get_main_option("sqlalchemy.url") or "").begin() as made:
        run(made)
