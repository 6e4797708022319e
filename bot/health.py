"""Is the bot well: a page for a service manager and figures for a monitor, on this machine only.

Nothing here says a name, a message or a token. `/live` answers while the loop turns; `/ready` says
503 and why when calls may not come; `/metrics` is the OpenMetrics text a monitor scrapes. What is
owed and late is counted in the store when asked, so no figure can drift from the truth.
"""

from __future__ import annotations

import os
import socket
from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from bot.ports import Clock, StoreFigures

if TYPE_CHECKING:
    from tornado.httpserver import HTTPServer

LOOKED = timedelta(seconds=90)
"""The pump looks every 30 s at the latest; three looks missed mean that nobody watches."""

HEARD = timedelta(minutes=5)
"""A platform that answers gives an empty batch at least every minute."""

OPEN_METRICS = "application/openmetrics-text; version=1.0.0; charset=utf-8"


@dataclass(frozen=True, slots=True)
class LineState:
    """How it goes with one platform: when it last answered, and what is wrong, if anything is."""

    heard_at: datetime | None = None
    trouble: str = ""


@dataclass(slots=True)
class Pulse:
    """When the pump last looked, and how it goes with each platform; `posts` says which are ours.

    A copy that stands by for a platform is well: another one listens there.
    """

    looked: datetime | None = None
    lines: dict[str, Callable[[], LineState]] = field(default_factory=dict)
    heard: dict[str, datetime] = field(default_factory=dict)
    posts: Mapping[str, bool] = field(default_factory=dict)

    def wrong(self, now: datetime) -> tuple[str, ...]:
        """Return what keeps calls from coming, in words; nothing when all is well."""
        wrong: list[str] = []
        if self.looked is None or now - self.looked > LOOKED:
            wrong.append("nothing has looked for due calls for over 90 s")
        for network, state in sorted(self.states().items()):
            if state.trouble:
                wrong.append(f"{network}: {state.trouble}")
            elif state.heard_at is None:
                wrong.append(f"{network} has not answered yet")
            elif now - state.heard_at > HEARD:
                minutes = int((now - state.heard_at).total_seconds() // 60)
                wrong.append(f"{network} has not answered for {minutes} min")
        return tuple(wrong)

    def states(self) -> dict[str, LineState]:
        """Return how it goes with each platform."""
        found = {network: state() for network, state in self.lines.items()}
        return {
            network: replace(state, heard_at=state.heard_at or self.heard.get(network))
            for network, state in found.items()
        }


@dataclass(slots=True)
class Health:
    """Serves `/live`, `/ready` and `/metrics` on a loopback port."""

    pulse: Pulse
    clock: Clock
    figures: Callable[[], Awaitable[StoreFigures]]
    cooks: Callable[[], int]
    _server: HTTPServer | None = None

    def listen(self, port: int, address: str = "127.0.0.1") -> int:
        """Open the port and return it; 0 takes a free one."""
        from tornado.httpserver import HTTPServer
        from tornado.netutil import bind_sockets

        sockets = bind_sockets(port, address)
        self._server = HTTPServer(self._application())
        self._server.add_sockets(sockets)
        bound: int = sockets[0].getsockname()[1]
        return bound

    def stop(self) -> None:
        """Close the port."""
        if self._server is not None:
            self._server.stop()

    def _application(self) -> Any:
        from tornado.web import Application, RequestHandler

        health = self

        class Live(RequestHandler):
            def get(self) -> None:
                self.finish("alive\n")

        class Ready(RequestHandler):
            async def get(self) -> None:
                wrong = await health.wrong()
                self.set_status(503 if wrong else 200)
                self.finish("".join(f"{why}\n" for why in wrong) or "ready\n")

        class Metrics(RequestHandler):
            async def get(self) -> None:
                self.set_header("Content-Type", OPEN_METRICS)
                self.finish(await health.metrics())

        routes = [("/live", Live), ("/ready", Ready), ("/metrics", Metrics)]
        return Application(routes, log_function=lambda _: None)

    async def wrong(self) -> tuple[str, ...]:
        """Return what keeps calls from coming."""
        try:
            await self.figures()
        except Exception as error:  # whatever it is, the log cannot be read
            return (f"the database does not answer ({type(error).__name__})",)
        return self.pulse.wrong(self.clock.now())

    async def metrics(self) -> bytes:
        """Return the figures as OpenMetrics text."""
        from prometheus_client import CollectorRegistry, Gauge
        from prometheus_client.openmetrics.exposition import generate_latest

        found, now = await self.figures(), self.clock.now()
        registry = CollectorRegistry()

        def gauge(name: str, what: str, labels: tuple[str, ...] = ()) -> Gauge:
            return Gauge(f"pitcrier_{name}", what, labels, registry=registry)

        gauge("cooks_open", "Cooks under way").set(self.cooks())
        gauge("inbox_waiting", "Messages heard and not yet handled").set(found.inbox_waiting)
        gauge("inbox_set_aside", "Messages given up after three failures").set(found.inbox_aside)
        owed = gauge("messages_owed", "Messages waiting to be sent", ("priority",))
        for priority, count in sorted(found.owed.items()):
            owed.labels(("urgent", "answer", "chatter")[priority]).set(count)
        gauge("owed_oldest_seconds", "How long the oldest urgent message has waited").set(
            found.oldest_owed_s
        )
        late = gauge("call_lateness_seconds", "Due to sent, worst of the last hour")
        late.set(found.worst_late_s)
        failed = gauge("messages_not_delivered", "Messages given up, by how they ended", ("end",))
        for end, count in sorted(found.failed.items()):
            failed.labels(end).set(count)
        overdue = now - found.next_call if found.next_call else timedelta()
        gauge("call_overdue_seconds", "How long the next call has been due").set(
            max(overdue.total_seconds(), 0.0)
        )
        post = gauge("post_held", "Whether this copy listens and speaks there", ("network",))
        for network, held in sorted(self.pulse.posts.items()):
            post.labels(network).set(held)
        sync = gauge("last_heard_seconds", "Since a platform last answered", ("network",))
        for network, state in sorted(self.pulse.states().items()):
            if state.heard_at is not None:
                sync.labels(network).set((now - state.heard_at).total_seconds())
        text: bytes = generate_latest(registry)  # type: ignore[no-untyped-call]  # no hints there
        return text


def notify(state: str, environment: Mapping[str, str] = os.environ) -> bool:
    """Tell the service manager how we are, if it asked to hear: `READY=1`, `WATCHDOG=1`.

    The protocol of sd_notify(3): one datagram to the socket named in `NOTIFY_SOCKET`.
    """
    address = environment.get("NOTIFY_SOCKET")
    if not address:
        return False
    if address.startswith("@"):  # an abstract name
        address = "\0" + address[1:]
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM | socket.SOCK_CLOEXEC) as line:
        try:
            line.sendto(state.encode(), address)
        except OSError:
            return False
    return True
