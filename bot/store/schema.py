"""Brings the tables up to date when a store is opened; a copy of the file is kept first.

A step runs in one transaction on both databases, so a killed one leaves nothing behind. Alembic
takes a while to import and most starts have nothing to do, so it is imported where it is used.
"""

from __future__ import annotations

from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text

from bot.ports import StoreError
from bot.store.copies import copied
from bot.store.engine import SPACE

NEWEST = "0004"
"""The last step under migrations/versions; a test holds the two together."""

STEPS = Path(__file__).with_name("migrations")


def revision(engine: Engine) -> str | None:
    """Return the last step this database has taken; None for an empty one."""
    with engine.connect() as connection:
        tables = set(inspect(connection).get_table_names())
        if "alembic_version" in tables:
            found = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
            return str(found) if found else None
        if "facts" in tables or (tables and engine.dialect.name == "sqlite"):
            raise StoreError(
                "the file is a database of some other program", "Name another file for the log."
            )
        return None


def bring_up_to_date(engine: Engine, file: Path | None, to: str = NEWEST) -> None:
    """Take the steps that are missing, up to `to`."""
    was = revision(engine)
    if was == to:
        return
    if was is not None:
        if was not in known_steps():
            raise StoreError(
                f"it was written by a newer Pitcrier (its tables are at step {was})",
                "Update this one, then try again.",
            )
        if file is not None:
            copied(file, file.with_name(f"{file.name}.before-{to}"))
    with engine.begin() as connection:
        if engine.dialect.name == "postgresql":  # several copies may start at once
            connection.execute(text("SELECT pg_advisory_xact_lock(:space, 0)"), {"space": SPACE})
        upgrade(connection, to)


def known_steps() -> frozenset[str]:
    """Return the names of all steps this version knows."""
    from alembic.script import ScriptDirectory

    return frozenset(s.revision for s in ScriptDirectory(str(STEPS)).walk_revisions())


def upgrade(connection: Connection, to: str) -> None:
    """Run Alembic within the connection's transaction."""
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(STEPS))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    command.upgrade(config, to)
