"""What is true of the stores on a disk only: one copy, steps of the tables, damage, backups."""

from __future__ import annotations

import asyncio
import os
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import psycopg
import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, create_engine, event, inspect

from bot.ports import Incoming, NewFact, NewSend, Outgoing, Sent, StoreError
from bot.store import SqlStore, open_store, schema
from bot.store.__main__ import main as command
from bot.store.backup import restored
from bot.store.engine import place, writing
from bot.store.tables import METADATA
from core.facts import CallAnswered
from tests.bot import golden_facts
from tests.fakes import FakeClock
from tests.postgres import Postgres

NOW = golden_facts.at(9)
STREAM = "cook:garden-1"
FACT = NewFact(NOW, "ana", CallAnswered("k"))
HEARD = Incoming("fake", "1", "room", "ana", "A on", NOW)


async def opened(url: str | Path, **more: int) -> SqlStore:
    return await open_store(str(url), FakeClock(NOW), **more)


async def filled(url: str | Path) -> SqlStore:
    store = await opened(url)
    await store.hear([HEARD], ("fake", "1"))
    send = NewSend("s", "fake", "room", Outgoing(("hi",)))
    await store.append(STREAM, 0, [FACT, FACT], NOW, [send, replace(send, key="t")], done=1)
    return store


def why(wrong: pytest.ExceptionInfo[StoreError]) -> str:
    return str(wrong.value)


# ------------------------------------------------------------------ one copy


async def test_a_second_copy_in_this_process_is_refused(tmp_path: Path) -> None:
    store = await opened(tmp_path / "log.db")
    with pytest.raises(StoreError, match="another Pitcrier already works on it"):
        await opened(tmp_path / ".." / tmp_path.name / "log.db")
    await store.append(STREAM, 0, [FACT], NOW)
    await store.close()
    await (await opened(tmp_path / "log.db")).close()


OPEN_AND_WAIT = """
import asyncio, os, sys
from bot.clock import SystemClock
from bot.store import open_store
async def main():
    await open_store(sys.argv[1], SystemClock())
    if len(sys.argv) > 2 and os.fork() == 0:  # a solver's worker, say
        pass
    print(os.getpid(), flush=True)
    sys.stdin.read()
asyncio.run(main())
"""


def holding(file: Path, *more: str) -> subprocess.Popen[str]:
    child = subprocess.Popen(
        [sys.executable, "-c", OPEN_AND_WAIT, str(file), *more],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert child.stdout is not None
    assert child.stdout.readline()
    return child


async def test_a_second_process_is_refused_by_name_and_a_killed_one_frees_the_file(
    tmp_path: Path,
) -> None:
    file = tmp_path / "log.db"
    child = holding(file)
    with pytest.raises(StoreError) as wrong:
        await opened(file)
    assert f"process {child.pid}" in why(wrong)
    child.kill()
    child.communicate()
    store = await opened(file)
    await store.append(STREAM, 0, [FACT], NOW)
    await store.close()


async def test_a_worker_that_outlives_a_killed_bot_does_not_keep_the_next_one_out(
    tmp_path: Path,
) -> None:
    file = tmp_path / "log.db"
    child = holding(file, "with a worker")
    child.kill()
    child.wait()  # its worker still waits for input
    await (await opened(file)).close()
    child.communicate()


# ------------------------------------------------------------------ what is no log


async def test_a_file_that_is_no_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "notes.txt"
    file.write_text("two lambs, four trays\n" * 200)
    before = file.read_bytes()
    with pytest.raises(StoreError, match="not a database"):
        await opened(file)
    assert file.read_bytes() == before


async def test_another_programs_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "other.db"
    with closing(sqlite3.connect(file)) as other:
        other.execute("CREATE TABLE birds (name TEXT)")
    with pytest.raises(StoreError, match="some other program"):
        await opened(file)
    with closing(sqlite3.connect(file)) as other:
        assert other.execute("SELECT name FROM sqlite_master").fetchall() == [("birds",)]


@pytest.mark.parametrize("url", ["mysql://x/y", "postgres//x", "://", "nonsense://a b"])
async def test_an_address_nobody_understands_is_refused(
    url: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    with pytest.raises(StoreError):
        await opened(url)


async def test_a_folder_that_is_not_there_is_named_as_the_trouble(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="folder"):
        await opened(tmp_path / "nowhere" / "log.db")


async def test_a_server_that_does_not_answer_is_a_clear_error(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match="does not answer"):
        await opened(f"postgresql://nobody@/none?host={tmp_path}")


async def test_a_newer_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "log.db"
    await (await filled(file)).close()
    with closing(sqlite3.connect(file)) as newer:
        newer.execute("UPDATE alembic_version SET version_num = '9999'")
        newer.commit()
    with pytest.raises(StoreError, match=r"newer Pitcrier.*9999"):
        await opened(file)
    assert list(tmp_path.glob("*.before-*")) == []


async def test_a_file_damaged_by_a_cut_is_noticed_at_the_start(tmp_path: Path) -> None:
    file = tmp_path / "log.db"
    await (await filled(file)).close()
    (tmp_path / "log.db.lock").write_text("4711\n")  # as a killed process leaves it
    size = file.stat().st_size
    with file.open("r+b") as damaged:
        damaged.seek(4096)
        damaged.write(os.urandom(size - 4096))
    with pytest.raises(StoreError, match="damaged"):
        await opened(file)


# ------------------------------------------------------------------ disk and locks


READ_ONLY = """
import asyncio, os, sys
from bot.clock import SystemClock
from bot.ports import StoreError
from bot.store import open_store
if os.geteuid() == 0:
    os.setuid(65534)  # root may write anywhere
try:
    asyncio.run(open_store(sys.argv[1], SystemClock()))
except StoreError as wrong:
    print(wrong)
"""


def test_a_read_only_folder_is_a_clear_error(tmp_path: Path) -> None:
    for folder in (tmp_path, *tmp_path.parents[:3]):
        folder.chmod(0o755)
    file = tmp_path / "log.db"
    asyncio.run(closed(filled(file)))
    file.chmod(0o444)
    tmp_path.chmod(0o555)
    said = subprocess.run(
        [sys.executable, "-c", READ_ONLY, str(file)], capture_output=True, text=True, check=True
    )
    tmp_path.chmod(0o755)
    assert "cannot be written" in said.stdout
    assert "writable" in said.stdout


async def closed(coming: object) -> None:
    store = await coming  # type: ignore[misc]
    await store.close()


async def test_a_full_disk_keeps_nothing_of_it_and_recovers_unaided(tmp_path: Path) -> None:
    store = await filled(tmp_path / "log.db")
    with store.connection() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")  # the disk ends here
    big = [replace(HEARD, ext_id=str(n), text="x" * 5000) for n in range(2, 50)]
    with pytest.raises(StoreError, match="the disk is full"):
        await store.hear(big, ("fake", "50"))
    assert await store.cursor("fake") == "1"
    assert await store.unhandled() == []
    assert [e.seq for e in await store.read(STREAM)] == [1, 2]
    assert [o.key for o in await store.claim("fake", NOW)] == ["s"]  # reminders still go out
    with store.connection() as connection:
        connection.exec_driver_sql("PRAGMA max_page_count = 1000000")
    assert await store.hear(big, ("fake", "50")) == 48
    await store.append(STREAM, 2, [FACT], NOW)
    assert await store.verify(STREAM) is None
    await store.close()


async def test_one_full_commit_fails_all_that_were_in_it_and_the_chain_goes_on(
    tmp_path: Path,
) -> None:
    store = await filled(tmp_path / "log.db")
    with store.connection() as connection:
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
        connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
    fact = NewFact(NOW, "ana", CallAnswered("k" * 5000))
    tried = [store.append(f"cook:{n}", 0, [fact], NOW) for n in range(30)]
    results = await asyncio.gather(*tried, return_exceptions=True)
    failed = [n for n, r in enumerate(results) if isinstance(r, StoreError)]
    assert failed
    with store.connection() as connection:
        connection.exec_driver_sql("PRAGMA max_page_count = 1000000")
    for n in failed:
        assert await store.head(f"cook:{n}") == (0, "")
        await store.append(f"cook:{n}", 0, [fact], NOW)
        assert await store.verify(f"cook:{n}") is None
        assert f"cook:{n}" in await store.wakes(NOW)
    await store.close()


async def test_a_locked_file_is_waited_for_then_refused_and_reads_go_on(tmp_path: Path) -> None:
    file = tmp_path / "log.db"
    await (await filled(file)).close()
    store = await opened(file, busy_ms=20)
    with closing(sqlite3.connect(file, isolation_level=None)) as other:
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match="locked"):
            await store.append(STREAM, 2, [FACT], NOW)
        assert len(await store.read(STREAM)) == 2
        other.execute("ROLLBACK")
    await store.append(STREAM, 2, [FACT], NOW)
    await store.close()


async def test_a_disk_that_takes_its_time_holds_up_neither_the_loop_nor_reading(
    tmp_path: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("bot.store.threads.SLOW_S", 0.0)
    store = await filled(tmp_path / "log.db")
    begun, may_end = threading.Event(), threading.Event()

    def commit_slowly(_: Connection) -> None:
        begun.set()
        may_end.wait(5)

    event.listen(store.writes, "commit", commit_slowly)
    writing_ = [asyncio.create_task(store.append(STREAM, n, [FACT], NOW)) for n in (2, 3, 4)]
    async with asyncio.timeout(5):
        while not begun.is_set():
            await asyncio.sleep(0)
        assert [e.seq for e in await store.read(STREAM)] == [1, 2]  # and the loop turns
        assert not any(task.done() for task in writing_)
        may_end.set()
        await asyncio.gather(*writing_)
    assert [e.seq for e in await store.read(STREAM)] == [1, 2, 3, 4, 5]
    assert await store.verify(STREAM) is None
    assert "slow disk" in caplog.text
    event.remove(store.writes, "commit", commit_slowly)
    await store.close()


async def test_a_closed_store_refuses_at_once_instead_of_hanging(tmp_path: Path) -> None:
    store = await filled(tmp_path / "log.db")
    await store.close()
    with pytest.raises(RuntimeError, match="closed"):
        await store.append(STREAM, 2, [FACT], NOW)


# ------------------------------------------------------------------ the tables


@pytest.fixture(params=["sqlite", "postgres"])
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    if request.param == "sqlite":
        return str(tmp_path / "log.db")
    server: Postgres = request.getfixturevalue("postgres")
    return server.fresh()


async def test_the_steps_make_the_tables_the_code_speaks_of(address: str) -> None:
    await (await opened(address)).close()
    engine = create_engine(place(address).url)
    with engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), METADATA) == []
        made = inspect(connection)
        for table in METADATA.tables.values():
            named = {i["name"] for i in made.get_indexes(table.name)}
            assert {i.name for i in table.indexes} <= named
            checks = {c["name"] for c in made.get_check_constraints(table.name)}
            assert len(checks) == sum(
                type(c).__name__ == "CheckConstraint" for c in table.constraints
            )
    engine.dispose()


def test_the_newest_step_is_the_last_one() -> None:
    assert ScriptDirectory(str(schema.STEPS)).get_heads() == [schema.NEWEST]


# what the first version wrote; the hash is that of the shell, as in the contract suite
FIRST_ROWS = """
INSERT INTO inbox (network, ext_id, room, who, body, heard_us) VALUES ('fake', '1', 'r', 'ana',
'{"ext_id":"1","network":"fake","room":"r","sent":"2026-06-13T09:00:00Z","text":"A on",
"type":"Incoming","v":1,"who":"ana"}', 1);
INSERT INTO facts (stream, seq, at_us, heard_us, "by", type, version, body, hash) VALUES (
'cook:garden-1', 1, 1781341200000000, 1781341200000000, 'bot', 'CookStarted', 1,
'{"at":"2026-06-13T09:00:00Z","by":"bot","fact":{"cook":"garden-1","type":"CookStarted",' ||
'"v":1},"heard":"2026-06-13T09:00:00Z","seq":1,"stream":"cook:garden-1"}',
'd709b81511f8f65f4342e0512d5d4c091cee3bd37763de1583c2a1ba10aebee6');
INSERT INTO outbox (key, network, room, priority, message, must, state, queued_us, receipt) VALUES (
's1', 'fake', 'r', 1, '{"lines":["told before"],"type":"Outgoing","v":1}', false, 'sent', 1, '17');
INSERT INTO outbox (key, network, room, priority, message, must, state, queued_us) VALUES (
's2', 'fake', 'r', 0, '{"lines":["pull A"],"type":"Outgoing","v":1}', true, 'owed', 1);
INSERT INTO cursor (network, token) VALUES ('fake', '41');
INSERT INTO pulse (id, at_us) VALUES (1, 1781337600000000)
"""

NEXT_STEP = '''
"""One column more, by copying the table as SQLite must."""
import sqlalchemy as sa
from alembic import op
revision = "9001"
down_revision = "{last}"
branch_labels = None
depends_on = None
def upgrade():
    with op.batch_alter_table("inbox") as inbox:
        inbox.add_column(sa.Column("mood", sa.String, nullable=False, server_default="good"))
    {then}
'''


@pytest.fixture
def next_step(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    """Return what gives the program one more step, and then something that may go wrong."""
    steps = tmp_path / "steps"
    (steps / "versions").mkdir(parents=True)
    for file in schema.STEPS.glob("**/*.py"):
        (steps / file.relative_to(schema.STEPS)).write_bytes(file.read_bytes())

    def add(then: str) -> None:
        step = NEXT_STEP.format(last=schema.NEWEST, then=then)
        (steps / "versions" / "v9001_mood.py").write_text(step)
        monkeypatch.setattr(schema, "STEPS", steps)

    return add


async def test_a_step_forward_keeps_the_data_and_a_backup(
    address: str, tmp_path: Path, next_step: Callable[[str], None]
) -> None:
    store = await filled(address)
    head = await store.head(STREAM)
    await store.close()
    next_step("pass")
    at = place(address)
    engine = writing(at)
    schema.bring_up_to_date(engine, at.file, "9001")
    with engine.begin() as connection:
        assert connection.exec_driver_sql("SELECT mood FROM inbox").scalars().all() == ["good"]
        stored = connection.exec_driver_sql("SELECT hash FROM facts ORDER BY seq").scalars().all()
        assert stored[-1] == head[1]
        # counting goes on behind what is there
        connection.exec_driver_sql(
            "INSERT INTO inbox (network, ext_id, room, who, heard_us) VALUES ('f','2','r','a',1)"
        )
        assert connection.exec_driver_sql("SELECT max(id) FROM inbox").scalar() == 2
    engine.dispose()
    if at.file is not None:
        backup = tmp_path / "log.db.before-9001"
        with closing(sqlite3.connect(backup)) as old:
            assert old.execute("SELECT version_num FROM alembic_version").fetchone() == (
                schema.NEWEST,
            )
            assert old.execute("SELECT count(*) FROM facts").fetchone() == (2,)


async def test_a_database_of_every_older_step_is_brought_up_to_date_with_its_data(
    address: str,
) -> None:
    steps = [s.revision for s in ScriptDirectory(str(schema.STEPS)).walk_revisions()]
    assert steps[0] == schema.NEWEST
    at = place(address)
    engine = writing(at)
    schema.bring_up_to_date(engine, None, steps[-1])
    with engine.begin() as old:  # rows as the first version wrote them
        for sql in FIRST_ROWS.split(";\n"):
            old.exec_driver_sql(sql)
    for step in reversed(steps):
        schema.bring_up_to_date(engine, None, step)
        assert schema.revision(engine) == step
    engine.dispose()
    store = await opened(address)
    assert [h.message.text for h in await store.unhandled()] == ["A on"]
    assert (await store.head(STREAM))[0] == 1
    assert await store.verify(STREAM) is None
    assert await store.cursor("fake") == "41"
    assert (await store.sent_message("fake", "17") or Outgoing(())).lines == ("told before",)
    (owed,) = await store.claim("fake", NOW)
    assert (owed.key, owed.message.lines, owed.must) == ("s2", ("pull A",), True)
    assert await store.beat(NOW) == NOW - timedelta(hours=1)
    await store.append(STREAM, 1, [FACT], NOW)
    assert await store.verify(STREAM) is None
    await store.close()


async def test_a_step_that_breaks_leaves_everything_as_it_was(
    address: str, next_step: Callable[[str], None]
) -> None:
    await (await filled(address)).close()
    next_step("raise RuntimeError('power cut')")
    at = place(address)
    engine = writing(at)
    with pytest.raises(RuntimeError):
        schema.bring_up_to_date(engine, at.file, "9001")
    assert schema.revision(engine) == schema.NEWEST
    assert "mood" not in {c["name"] for c in inspect(engine).get_columns("inbox")}
    engine.dispose()
    store = await opened(address)
    assert len(await store.read(STREAM)) == 2
    await store.close()


async def test_a_new_file_needs_no_backup(tmp_path: Path) -> None:
    await (await opened(tmp_path / "log.db")).close()
    assert list(tmp_path.glob("*before*")) == []


async def test_the_settings_that_survive_a_power_cut_are_on(tmp_path: Path) -> None:
    store = await opened(tmp_path / "log.db")
    with store.connection() as connection:
        found = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }
    await store.close()
    # 2 is FULL: sqlite.org/pragma.html#pragma_synchronous
    assert found == {
        "journal_mode": "wal",
        "synchronous": 2,
        "foreign_keys": 1,
        "busy_timeout": 5000,
    }


# ------------------------------------------------------------------ tampering


def altered(address: str, sql: str) -> None:
    at = place(address)
    if at.file is not None:
        with closing(sqlite3.connect(at.file)) as connection:
            connection.execute(sql)
            connection.commit()
    else:
        with psycopg.connect(address) as server:
            server.execute(sql.encode())


@pytest.mark.parametrize(
    ("sql", "broken"),
    [
        ("UPDATE facts SET body = replace(body, '\"ana\"', '\"bob\"') WHERE seq = 2", 2),
        ("UPDATE facts SET at_us = at_us + 1 WHERE seq = 2", 2),
        ("UPDATE facts SET \"by\" = 'bob' WHERE seq = 3", 3),
        ("UPDATE facts SET hash = 'x' WHERE seq = 1", 1),
        ("DELETE FROM facts WHERE seq = 1", 1),
        ("DELETE FROM facts WHERE seq = 2", 2),
        ("UPDATE facts SET stream = 'cook:other-1' WHERE seq = 3", None),
    ],
)
async def test_a_later_edit_shows(address: str, sql: str, broken: int | None) -> None:
    store = await filled(address)
    await store.append(STREAM, 2, [FACT], NOW)
    head = await store.head(STREAM)
    await store.close()
    altered(address, sql)
    store = await opened(address)
    assert await store.verify(STREAM) == broken
    if broken is None:  # the end cut off: only the head that was posted in the room shows it
        assert await store.head(STREAM) != head
        assert await store.verify("cook:other-1") == 1
    await store.close()


# ------------------------------------------------------------------ backups


async def test_a_backup_taken_at_work_is_whole_and_can_be_worked_with(
    address: str, tmp_path: Path
) -> None:
    store = await filled(address)
    work = asyncio.create_task(keep_writing(store))
    await asyncio.sleep(0)
    await store.backup(tmp_path / "copy.db")
    work.cancel()
    await asyncio.gather(work, return_exceptions=True)
    await store.append("cook:late", 0, [FACT], NOW)
    await store.close()
    copy = await opened(tmp_path / "copy.db")
    assert await copy.verify(STREAM) is None
    assert await copy.streams("cook:late") == []
    assert await copy.cursor("fake") == "1"
    assert [o.key for o in await copy.claim("fake", NOW)] == ["s"]
    await copy.settle("s", Sent("1"), NOW)
    seq, _ = await copy.head(STREAM)
    await copy.append(STREAM, seq, [FACT], NOW)
    assert await copy.hear([replace(HEARD, ext_id="2")], None) == 1
    await copy.close()


async def keep_writing(store: SqlStore) -> None:
    seq = 2
    while True:
        await store.append(STREAM, seq, [FACT], NOW)
        seq += 1


async def test_a_backup_is_put_back_on_either_database(
    address: str, tmp_path: Path, postgres: Postgres
) -> None:
    store = await filled(address)
    head, entries = await store.head(STREAM), list(await store.read(STREAM))
    await store.backup(tmp_path / "copy.db")
    await store.close()
    for target in (str(tmp_path / "new.db"), postgres.fresh()):
        restored(tmp_path / "copy.db", target)
        back = await opened(target)
        assert (await back.head(STREAM), list(await back.read(STREAM))) == (head, entries)
        assert await back.verify(STREAM) is None
        assert await back.hear([replace(HEARD, ext_id="2"), HEARD], None) == 1
        await back.append(STREAM, 2, [FACT], NOW, [NewSend("u", "fake", "q", Outgoing(("u",)))])
        assert [o.key for o in await back.claim("fake", NOW)] == ["s", "u"]
        await back.close()


async def test_a_backup_is_never_put_over_something(address: str, tmp_path: Path) -> None:
    store = await filled(address)
    await store.backup(tmp_path / "copy.db")
    await store.close()
    with pytest.raises(StoreError, match="something in it already"):
        restored(tmp_path / "copy.db", address)


async def test_a_backup_that_is_not_there_is_a_clear_error(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"no backup copy\.db"):
        restored(tmp_path / "copy.db", str(tmp_path / "log.db"))
    assert not (tmp_path / "log.db").exists()


async def test_a_failed_backup_leaves_no_half_file(tmp_path: Path) -> None:
    store = await filled(tmp_path / "log.db")
    with pytest.raises(StoreError):
        await store.backup(tmp_path / "nowhere" / "copy.db")
    await store.close()
    memory = await opened("sqlite://")
    with pytest.raises(StoreError, match="only in memory"):
        await memory.backup(tmp_path / "copy.db")
    await memory.close()
    assert not (tmp_path / "copy.db").exists()


async def test_photos_go_with_the_backup_and_come_back_with_it(tmp_path: Path) -> None:
    store = await filled(tmp_path / "log.db")
    name = await store.files.keep(b"%PDF-1.7 permit", "application/pdf")
    await store.backup(tmp_path / "copy.db")
    await store.close()
    restored(tmp_path / "copy.db", str(tmp_path / "new.db"))
    back = await opened(tmp_path / "new.db")
    assert await back.files.content(name) == b"%PDF-1.7 permit"
    await back.close()


async def test_backup_and_restore_are_one_command_each_while_the_bot_runs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = await filled(tmp_path / "log.db")
    log, copy, new = (str(tmp_path / name) for name in ("log.db", "copy.db", "new.db"))
    assert command(["backup", log, copy]) == 0
    assert command(["restore", copy, new]) == 0
    assert command(["restore", copy, log]) == 2  # the bot is at work on it
    assert "another Pitcrier already works on it" in capsys.readouterr().err
    back = await opened(new)
    assert await back.head(STREAM) == await store.head(STREAM)
    await back.close()
    await store.close()


# ------------------------------------------------------------------ several copies on PostgreSQL


async def test_what_a_living_copy_has_in_hand_is_left_to_it(postgres: Postgres) -> None:
    url = postgres.fresh()
    first, second = await filled(url), await opened(url)
    assert [o.key for o in await first.claim("fake", NOW)] == ["s"]
    assert await second.claim("fake", NOW) == []  # the same room is in hand
    await first.close()
    assert [(o.key, o.repeat) for o in await second.claim("fake", NOW)] == [("s", True)]
    await second.close()


async def test_two_copies_never_send_the_same(postgres: Postgres) -> None:
    url = postgres.fresh()
    first, second = await opened(url), await opened(url)
    sends = [NewSend(f"k{n}", "fake", f"r{n}", Outgoing(("x",))) for n in range(60)]
    await first.append("", 0, (), NOW, sends)

    async def work(store: SqlStore) -> list[str]:
        keys: list[str] = []
        while owed := await store.claim("fake", NOW, 3):
            keys += [o.key for o in owed]
            await asyncio.gather(*(store.settle(o.key, Sent("1"), NOW) for o in owed))
        return keys

    keys = await asyncio.gather(work(first), work(second))
    assert sorted(keys[0] + keys[1]) == sorted(s.key for s in sends)
    await first.close()
    await second.close()
