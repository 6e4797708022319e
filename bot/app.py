"""Composition root: the one file that picks adapters and joins them."""

from __future__ import annotations

import asyncio
import signal
import sys
from collections.abc import AsyncIterator, Coroutine
from contextlib import asynccontextmanager, suppress
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, TextIO

from bot.absence import Watch, spare_the_loop, watch_stalls
from bot.cards import read_event, read_texts
from bot.chat.console import Console, Paper
from bot.clock import SystemClock
from bot.directory import NamesDirectory, folded_name
from bot.dispatch import Dispatcher, new_cook_id
from bot.health import LineState, Pulse
from bot.kitchen import Kitchen
from bot.leads import Leads
from bot.logs import log_to
from bot.outbox import Outbox
from bot.ports import Clock, FactStore, Remote, StoreError
from bot.posts import Front, holding
from bot.reminders import AlarmClock, Pump
from bot.serving import serving
from bot.settings import Settings
from bot.solving import Solving, workers
from bot.store import open_store
from core.cook import Cook
from core.cook.plans import planned
from core.errors import CannotPlanError, KitchenError, UnknownNameError
from core.model import Cards, Person

NETWORK = Console.network
CHECK_S = 30.0
MOST_DAYS_AHEAD = 10
CHECK_EACH_S = 0.5


async def chat(event: Path, as_name: str | None, url: str, source: TextIO, out: TextIO) -> None:
    """Run the bot in the terminal on the real clock; resume the event's cook if one is open."""
    clock = SystemClock()
    cards, texts = read_event(event), read_texts(event)
    who = _person(cards, as_name)
    async with _store(url, clock) as store:
        cook_id, running = await _cook_for(store, clock, cards.event.id)
        if running is None:
            cards, moved = dated_ahead(cards, clock.now())
        paper = Paper(out, cards.event.zone, {p.id: p.name for p in cards.crew})
        console = Console(who.name, f"@{who.id}", clock, paper, source)
        dispatcher, outbox, pump = _joined(store, clock, cook_id, console)
        if running is None:
            if moved:
                day = f"{cards.event.day:%a %d %b %Y}"
                paper.note(f"The date on the card is past: practising as if it were {day}.")
            await dispatcher.start(cook_id, cards, dict(texts), who.id)
            paper.note(f"Cook {cook_id} started; you are {who.name}. 'help' says what I hear.")
        else:
            paper.note(f"Cook {cook_id} goes on; you are {who.name}.")
        await _converse(console, dispatcher, outbox, pump)


async def serve(settings: Settings, event: Path | None, source: TextIO, out: TextIO) -> None:
    """Serve every open cook on the platforms the settings name, or at this console."""
    if settings.telegram is None and settings.matrix is None:
        await _serve_here(settings.db_url, event, source, out)
        return
    async with serving(settings, SystemClock()) as work:
        if event is not None:
            print(f"Cook {await work.start_event(event)} is open.", file=out, flush=True)
        for cook_id, chef, code in await work.first_codes():
            print(f"{cook_id}: {chef} sends the bot: join {code}", file=out, flush=True)
        owner = await work.owner_code()
        if owner is not None:
            print(f"Who owns this installation sends the bot: join {owner}", file=out, flush=True)
        names = ", ".join(sorted(work.posts.fronts))
        print(f"Serving on {names}. Codes are good for 24 hours.", file=out, flush=True)
        await work.run()


async def _serve_here(url: str, event: Path | None, source: TextIO, out: TextIO) -> None:
    """Serve the newest open cook at the console."""
    if event is not None:
        await chat(event, None, url, source, out)
        return
    clock = SystemClock()
    async with _store(url, clock) as store:
        dispatcher = Dispatcher(store, clock, NamesDirectory(NETWORK, ""))
        cooks = await dispatcher.open_cooks()
        if not cooks:
            raise CannotPlanError("no cook is open. Start one with 'pitcrier chat EVENT'")
        cook = max(cooks, key=lambda c: c.entries[0].at)
        cards = cook.cards
        assert cards is not None  # open_cooks only returns cooks with cards
        who = cards.chef or cards.crew[0]
        paper = Paper(out, cards.event.zone, {p.id: p.name for p in cards.crew})
        console = Console(who.name, f"@{who.id}", clock, paper, source)
        dispatcher, outbox, pump = _joined(store, clock, cook.id, console)
        paper.note(f"Serving {cook.id} at this console; you are {who.name}.")
        await _converse(console, dispatcher, outbox, pump)


@asynccontextmanager
async def _store(url: str, clock: Clock) -> AsyncIterator[FactStore]:
    store = await open_store(url, clock)
    try:
        yield store
    finally:
        await store.close()


def _joined(
    store: FactStore, clock: Clock, cook_id: str, console: Console
) -> tuple[Dispatcher, Outbox, Pump]:
    directory = NamesDirectory(NETWORK, cook_id)
    dispatcher = Dispatcher(store, clock, directory)
    kitchen = Kitchen(store, clock, directory, dispatcher, before=directory.turn_to)
    dispatcher.kitchen = kitchen
    outbox = Outbox(
        store, {NETWORK: console}, clock, tell=Leads(dispatcher), wanted=dispatcher.wanted
    )
    pump = Pump(Watch(dispatcher, {NETWORK: console}).ring, clock, AlarmClock())

    def nudge() -> None:
        outbox.nudge()

    dispatcher.nudge = nudge
    return dispatcher, outbox, pump


async def _converse(console: Console, dispatcher: Dispatcher, outbox: Outbox, pump: Pump) -> None:
    """Listen until the input ends, while the pump rings, the outbox delivers, the engine thinks."""
    pool = workers()
    solving = Solving(dispatcher, pool)
    await solving.look()
    await dispatcher.work()  # what was heard before a crash
    stalls = asyncio.create_task(watch_stalls())
    ringing = asyncio.create_task(pump.run())
    sending = asyncio.create_task(outbox.run())
    try:
        async for message in console.incoming():
            try:
                await dispatcher.hear((message,))
            except StoreError as wrong:
                console.note(f"Not booked: {wrong}")
            pump.nudge()
    finally:
        await solving.close()
        pool.shutdown(wait=False, cancel_futures=True)
        for task in (ringing, stalls):
            task.cancel()
            with suppress(asyncio.CancelledError):
                await task
        outbox.stop()
        await sending
        await outbox.deliver(NETWORK)


async def _cook_for(store: FactStore, clock: Clock, event_id: str) -> tuple[str, Cook | None]:
    """Return the event's open cook, or the id for a new one: event, dash, start number."""
    dispatcher = Dispatcher(store, clock, NamesDirectory(NETWORK, ""))
    open_ = [c for c in await dispatcher.open_cooks() if c.cards and c.cards.event.id == event_id]
    if open_:
        return open_[-1].id, open_[-1]
    return await new_cook_id(store, event_id), None


def _person(cards: Cards, name: str | None) -> Person:
    if name is None:
        return cards.chef or cards.crew[0]
    wanted = folded_name(name)
    for person in cards.crew:
        if wanted in {folded_name(person.name), person.id}:
            return person
    raise UnknownNameError("person", name, ", ".join(p.name for p in cards.crew))


def dated_ahead(cards: Cards, now: datetime) -> tuple[Cards, bool]:
    """Return the cards with a date whose work is still ahead, and whether it was changed.

    An event that is over can only be practised: on the first day that leaves its first job, prep
    included, still to come.
    """
    event = cards.event
    last = max((event.instant(s.until or s.start) for s in event.serve), default=now)
    if last > now:
        return cards, False
    today = now.astimezone(event.zone).date()
    for days in range(MOST_DAYS_AHEAD):
        moved = replace(cards, event=replace(event, day=today + timedelta(days=days)))
        if _begins(moved) > now:
            break
    return moved, True


def _begins(cards: Cards) -> datetime:
    """Return when the first job of an event begins; its first plates where there is no plan."""
    event = cards.event
    plates = min(event.instant(s.start) for s in event.serve)
    try:
        plan = planned(cards)
    except CannotPlanError:
        return plates
    starts = [run.start for run in plan.runs()] + [task.start for task in plan.tasks]
    return min(starts, default=plates)


def run_chat(event: Path, as_name: str | None, url: str) -> None:
    """Run `chat` on this terminal."""
    spare_the_loop()
    asyncio.run(chat(event, as_name, url, sys.stdin, sys.stdout))


def run_serve(settings: Settings, event: Path | None) -> None:
    """Run `serve` on this terminal, its log as JSON lines on the error stream."""
    log_to(sys.stderr, settings.secrets)
    spare_the_loop()
    with suppress(KeyboardInterrupt):
        asyncio.run(_until_told(serve(settings, event, sys.stdin, sys.stdout)))


async def _until_told(work: Coroutine[Any, Any, None]) -> None:
    """Run until done, or until a service manager says stop; then end in order."""
    task = asyncio.ensure_future(work)
    loop = asyncio.get_running_loop()
    with suppress(NotImplementedError):  # some systems have no such signals
        loop.add_signal_handler(signal.SIGTERM, task.cancel)
    with suppress(asyncio.CancelledError):
        await task


async def checked(settings: Settings) -> tuple[str, ...]:
    """Try what the settings name and return one line each: OK, or what is missing.

    Raises
    ------
    KitchenError
        If something cannot be used, with the remedy.
    """
    async with serving(settings, SystemClock()) as work:
        cooks = ", ".join(await work.refresh()) or "none"
        lines = [f"OK: the database answers; open cooks: {cooks}."]
        async with holding(work.store.together, work.posts.fronts) as held:
            for network, front in work.posts.fronts.items():
                if network in held:
                    lines.append(await _answered(front, work.posts.pulse))
                else:
                    lines.append(f"OK: {network}: another copy works there now.")
        if not work.posts.fronts:
            lines.append("OK: no platform is named in the settings; it serves at the console.")
        return tuple(lines)


async def _answered(front: Front, pulse: Pulse) -> str:
    """Listen until the platform has answered once, and say so; nothing heard is taken."""
    try:
        opened = await front.open()
    except KitchenError as wrong:
        return f"NO: {front.network}: {wrong} {wrong.hint}"
    remote = opened.chat
    if not isinstance(remote, Remote):
        return f"OK: {front.network} is ready."
    if opened.line is not None:
        pulse.lines[front.network] = opened.line
    listening = asyncio.create_task(_first_batch(remote))
    try:
        for _ in range(round(CHECK_S / CHECK_EACH_S)):
            await asyncio.wait({listening}, timeout=CHECK_EACH_S)
            state = pulse.states().get(remote.network, LineState())
            if state.trouble:
                return f"NO: {remote.network}: {state.trouble}."
            if state.heard_at is not None or listening.done():
                return f"OK: {remote.network} answers."
        return f"NO: {remote.network} has not answered in {CHECK_S:.0f} s."
    finally:
        listening.cancel()
        with suppress(asyncio.CancelledError):
            await listening
        await remote.stop()


async def _first_batch(remote: Remote) -> None:
    """Listen until the platform gives something; not asked for the next, it stays untaken."""
    async for _ in remote.batches():
        return
