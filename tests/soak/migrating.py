"""Killed in the middle of a step of the tables: before it or after it, never half."""

from __future__ import annotations

import asyncio
import os
import random
import tempfile
from collections.abc import Callable
from pathlib import Path

from sqlalchemy import inspect

from bot.clock import SystemClock
from bot.ports import Incoming, NewFact
from bot.store import open_store, schema
from bot.store.engine import place, writing
from core.facts import CallAnswered
from tests.soak.kitchen import START, STREAM
from tests.soak.reaper import Reaper
from tests.soak.stories import Tally

STEP = f'''
"""Two columns and an index more: on SQLite both tables are copied."""
import sqlalchemy as sa
from alembic import op
revision = "next"
down_revision = "{schema.NEWEST}"
branch_labels = None
depends_on = None
def upgrade():
    for table in ("inbox", "outbox"):
        with op.batch_alter_table(table) as changed:
            changed.add_column(sa.Column("mood", sa.String, nullable=False, server_default="good"))
    op.create_index("ix_inbox_mood", "inbox", ["mood"])
'''
FACTS = 20


def migrated(tally: Tally, fresh: Callable[[], str], kills: int) -> None:
    """Kill the step at seeded points; what is found afterwards that is wrong goes on the tally."""
    chance = random.Random(tally.seed)
    real = schema.STEPS
    with tempfile.TemporaryDirectory() as folder:
        schema.STEPS = _steps(Path(folder))
        ticks = 0
        while tally.steps_killed < kills:
            url = fresh()
            asyncio.run(_filled(url))
            ticks = ticks or _step(url, None)[1]
            if _step(url, chance.randrange(1, ticks))[0]:
                tally.steps_killed += 1
                _judge(tally, url)
    schema.STEPS = real


def _steps(folder: Path) -> Path:
    """Return the steps with one more behind them."""
    (folder / "versions").mkdir()
    for file in schema.STEPS.glob("**/*.py"):
        (folder / file.relative_to(schema.STEPS)).write_bytes(file.read_bytes())
    (folder / "versions" / "v9999_next.py").write_text(STEP)
    return folder


async def _filled(url: str) -> None:
    store = await open_store(url, SystemClock())
    heard = [Incoming("fake", str(n), "pit", "ana", "A on", START) for n in range(FACTS)]
    await store.hear(heard, None)
    facts = [NewFact(START, "ana", CallAnswered(str(n))) for n in range(FACTS)]
    await store.append(STREAM, 0, facts, START)
    await store.close()


def _step(url: str, kill_at: int | None) -> tuple[bool, int]:
    """Take the step in a process of its own; return whether it was killed, and its ticks."""
    reading, telling = os.pipe()
    child = os.fork()
    if child == 0:
        reaper = Reaper(kill_at)
        reaper.watch_database()
        at = place(url)
        schema.bring_up_to_date(writing(at), at.file, "next")
        os.write(telling, str(reaper.ticks).encode())
        os._exit(0)
    os.close(telling)
    with os.fdopen(reading) as pipe:
        ticks = pipe.read()
    _, ended = os.waitpid(child, 0)
    return os.WIFSIGNALED(ended), int(ticks or 0)


def _judge(tally: Tally, url: str) -> None:
    at = place(url)
    engine = writing(at)
    step = schema.revision(engine)
    with engine.begin() as connection:
        looked = inspect(connection)
        tables = [{c["name"] for c in looked.get_columns(t)} for t in ("inbox", "outbox")]
        left = [t for t in looked.get_table_names() if t.startswith("_alembic")]
    moods = {"mood" in columns for columns in tables}
    if moods != {step == "next"} or left:
        tally.lost.append(f"half a step: at {step}, {moods}, {left}")
    schema.bring_up_to_date(engine, at.file, "next")
    with engine.begin() as connection:
        for table in ("inbox", "facts"):
            rows = connection.exec_driver_sql(f"SELECT count(*) FROM {table}").scalar()
            if rows != FACTS:
                tally.lost.append(f"{rows} of {FACTS} rows left in {table}")
    engine.dispose()
