"""The pages a service manager and a monitor read; the format is the library's own reader's."""

from __future__ import annotations

import socket
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import httpx
import pytest
from prometheus_client.openmetrics.parser import text_string_to_metric_families

from bot.health import Health, LineState, Pulse, notify
from bot.ports import Gone, NewSend, Outgoing, Sent, StoreError, StoreFigures
from bot.store import open_store
from tests.bot import golden_facts
from tests.fakes import FakeClock
from tests.postgres import Postgres

NOW = golden_facts.at(9)


class Well:
    """A health server on a free port, and what it is told."""

    def __init__(self) -> None:
        self.clock = FakeClock(NOW)
        self.pulse = Pulse(looked=NOW)
        self.found = StoreFigures()
        self.broken = False
        self.health = Health(self.pulse, self.clock, self._figures, lambda: 2)
        self.url = f"http://127.0.0.1:{self.health.listen(0)}"

    async def _figures(self) -> StoreFigures:
        if self.broken:
            raise StoreError("no room left", "Make room.")
        return self.found

    async def get(self, page: str) -> httpx.Response:
        async with httpx.AsyncClient() as client:
            return await client.get(self.url + page)

    async def figure(self, name: str) -> float:
        text = (await self.get("/metrics")).text
        parsed = text_string_to_metric_families(text)  # type: ignore[no-untyped-call]  # no hints
        families = {f.name: f for f in parsed}
        return float(families[f"pitcrier_{name}"].samples[0].value)


@pytest.fixture
async def well() -> AsyncIterator[Well]:
    made = Well()
    yield made
    made.health.stop()


async def test_a_bot_that_looks_and_hears_is_ready(well: Well) -> None:
    well.pulse.lines = {"telegram": lambda: LineState(NOW)}
    found = await well.get("/ready")
    assert (found.status_code, found.text) == (200, "ready\n")


async def test_a_pump_that_stands_still_is_not_ready_but_alive(well: Well) -> None:
    well.clock.set(NOW + timedelta(seconds=91))
    assert (await well.get("/ready")).status_code == 503
    assert (await well.get("/live")).status_code == 200


async def test_a_platform_that_is_silent_or_in_trouble_is_named(well: Well) -> None:
    well.pulse.lines = {
        "matrix": lambda: LineState(NOW, "the token was revoked"),
        "telegram": lambda: LineState(NOW - timedelta(minutes=6)),
    }
    said = (await well.get("/ready")).text.splitlines()
    assert said == ["matrix: the token was revoked", "telegram has not answered for 6 min"]


async def test_a_database_that_does_not_answer_is_not_ready(well: Well) -> None:
    well.broken = True
    found = await well.get("/ready")
    assert (found.status_code, found.text) == (503, "the database does not answer (StoreError)\n")


async def test_figures_are_open_metrics_with_what_is_owed_and_late(well: Well) -> None:
    well.found = StoreFigures(
        inbox_waiting=3,
        owed={0: 2, 2: 5},
        worst_late_s=1.5,
        failed={"gone": 1},
        next_call=NOW - timedelta(seconds=4),
    )
    assert await well.figure("cooks_open") == 2
    assert await well.figure("inbox_waiting") == 3
    assert await well.figure("call_lateness_seconds") == 1.5
    assert await well.figure("call_overdue_seconds") == 4
    text = (await well.get("/metrics")).text
    assert 'pitcrier_messages_owed{priority="urgent"} 2.0' in text
    assert 'pitcrier_messages_owed{priority="chatter"} 5.0' in text
    assert 'pitcrier_messages_not_delivered{end="gone"} 1.0' in text
    assert text.endswith("# EOF\n")


async def test_it_answers_on_this_machine_only(well: Well) -> None:
    port = int(well.url.rsplit(":", 1)[1])
    with socket.socket() as other:
        other.bind(("127.0.0.2", port))  # the port is taken on the one loopback address alone


async def test_the_service_manager_is_told(tmp_path: Path) -> None:
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as manager:
        manager.bind(str(tmp_path / "n"))
        assert notify("WATCHDOG=1", {"NOTIFY_SOCKET": str(tmp_path / "n")})
        assert manager.recv(64) == b"WATCHDOG=1"
    assert not notify("READY=1", {})
    assert not notify("READY=1", {"NOTIFY_SOCKET": str(tmp_path / "nobody")})


Opener = Callable[[], Awaitable[str]]


@pytest.mark.parametrize("kind", ["sqlite", "postgres"])
async def test_the_store_counts_what_waits_what_failed_and_how_late(
    kind: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    url = str(tmp_path / "log.db")
    if kind == "postgres":
        server: Postgres = request.getfixturevalue("postgres")
        url = server.fresh()
    clock = FakeClock(NOW)
    store = await open_store(url, clock)
    urgent = NewSend("a", "fake", "one", Outgoing(("PULL A",)), priority=0)
    rest = [
        replace(urgent, key="b", room="two"),
        replace(urgent, key="c", room="three", priority=2),
        replace(urgent, key="d", room="four", priority=0),
    ]
    await store.append("cook:x-1", 0, (), NOW, [urgent, *rest])
    await store.claim("fake", NOW, 1)
    await store.settle("a", Sent("1"), NOW + timedelta(seconds=3))
    await store.claim("fake", NOW, 1)
    await store.settle("b", Gone("closed"), NOW)
    found = await store.figures(NOW + timedelta(seconds=10))
    assert found.worst_late_s == 3.0  # by hand
    assert found.owed == {0: 1, 2: 1}
    assert found.oldest_owed_s == 10.0  # by hand
    assert found.failed["gone"] == 1
    await store.close()
