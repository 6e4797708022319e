"""What each command does. Libraries that are slow to load are imported where they are used."""

from __future__ import annotations

import argparse
import asyncio
import json
import os
import re
import sys
import time
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING

from core.errors import KitchenError, OutOfRangeError, UnknownNameError
from core.model import Cards, Moment, Profile, Role

if TYPE_CHECKING:
    from bot.ports import FactStore
    from bot.rehearse import Shown
    from core.facts import Entry
    from core.model import Line, Plan

LANGUAGES = ("en", "es")
MOST_HEADS = 20_000


class FileError(KitchenError):
    """A file that cannot be read or written."""

    template = "{path}: {why}."

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(path=path, why=why)


# ------------------------------------------------------------------ ask


def ask(chosen: argparse.Namespace) -> int:
    """Answer one quick question."""
    from bot.askjson import answer_json
    from bot.clock import SystemClock
    from bot.render import render, render_answer
    from core.ask import AskContext
    from core.ask import ask as answered
    from core.words import language_of

    cards = _event(chosen.event) if chosen.event else None
    now = _instant(chosen.at, cards) if chosen.at else SystemClock().now()
    lang = _language(chosen.lang) or language_of(chosen.text) or "en"
    zone: tzinfo = cards.event.zone if cards else UTC
    context = AskContext(
        cards=cards, profile=_profile(chosen.profile), lang=lang, now=now, role=Role.CHEF
    )  # who has the cards in front of them may see what they cost
    answer = answered(chosen.text, context)
    if chosen.json:
        print(_json(answer_json(answer, lambda line: render(line, lang, zone))))
    else:
        print("\n".join(render_answer(answer, lang, zone)))
        for n, choice in enumerate(answer.choices, start=1):
            print(f"[{n}] {render(choice, lang, zone)}")
    return 0


def _language(name: str | None) -> str | None:
    if name is not None and name not in LANGUAGES:
        raise UnknownNameError("language", name, ", ".join(LANGUAGES))
    return name


def _profile(name: str | None) -> Profile | None:
    if name is None:
        return None
    try:
        return Profile(name)
    except ValueError:
        raise UnknownNameError("profile", name, ", ".join(Profile)) from None


def _instant(text: str, cards: Cards | None) -> datetime:
    """Return an ISO instant, or HH:MM on the event's date and zone."""
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        hour, _, minute = text.partition(":")
        if not (hour.isdigit() and minute.isdigit() and int(hour) < 24 and int(minute) < 60):
            raise OutOfRangeError("time", text, "ISO 8601 or HH:MM") from None
        if cards is None:
            raise OutOfRangeError("time", text, "ISO 8601, or HH:MM with --event") from None
        return cards.event.instant(Moment(0, int(hour), int(minute)))
    if at.tzinfo is None:
        return at.replace(tzinfo=cards.event.zone if cards else UTC).astimezone(UTC)
    return at.astimezone(UTC)


def _event(folder: Path) -> Cards:
    from bot.cards import read_event

    return read_event(folder)


def _json(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, indent=2)


# ------------------------------------------------------------------ plan


def plan(chosen: argparse.Namespace) -> int:
    """Print the plan, or write it as a picture, calendar or sheet."""
    from bot.plantext import booking_line, plan_lines
    from bot.render import render
    from core.cook.plans import answered, planned

    cards = _event(chosen.event)
    heads = cards.event.heads if chosen.heads is None else chosen.heads
    could_be = 0 < heads <= MOST_HEADS  # then 'impossible' is an answer, else an error
    made = answered(cards, heads, ENGINE) if could_be else planned(cards, heads)
    lang = cards.event.languages[0]
    _files(chosen, made, cards, lang)
    if chosen.json:
        from bot.planjson import plan_json
        from core.calls import calls_of

        def words(line: Line) -> str:
            return render(line, lang, cards.event.zone)

        zone = cards.event.zone
        if made.fits != "yes":
            made = replace(made, fixes=(*made.fixes, booking_line(cards)))
        print(_json(plan_json(made, calls_of(made, cards), words, zone)))
    else:
        for line in plan_lines(made, cards, lang, booking_line(cards)):
            print(line)
    return 0


ENGINE = "cp"
"""Who asks for a plan at the desk has the second that the exact engine takes."""


def _files(chosen: argparse.Namespace, made: Plan, cards: Cards, lang: str) -> None:
    if not made.loads and not made.tasks:  # an empty sheet would look like a plan
        wanted = [path for path in (chosen.png, chosen.ics, chosen.pdf) if path]
        for path in wanted:
            print(f"{path}: not written, there is no plan to draw", file=sys.stderr)
        return
    if chosen.png:
        from bot.pictures import timeline

        _write(chosen.png, timeline(made, cards, lang))
    if chosen.ics:
        from bot.sheets import plan_ics

        _write(chosen.ics, plan_ics(made, cards, lang))
    if chosen.pdf:
        from bot.sheets import strip_pdf

        _write(chosen.pdf, strip_pdf(made, cards, None, lang))
    if chosen.sheets:
        _sheets(chosen.sheets, made.heads, cards, lang)


def _sheets(folder: Path, heads: int, cards: Cards, lang: str) -> None:
    """Write what to buy, prepare, load and label: CSV for other programs, PDF for the wall."""
    from bot import sheets

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FileError(folder, error.strerror or "cannot be made") from error
    _write(folder / "buy.csv", sheets.csv_bytes(sheets.buy_table(cards, heads, lang)))
    for table in sheets.prep_tables(cards, heads, lang):
        name = re.sub(r"\W+", "-", table.title.casefold()).strip("-")
        _write(folder / f"{name}.csv", sheets.csv_bytes(table))
    _write(folder / "load-out.csv", sheets.csv_bytes(sheets.load_out_table(cards, heads, lang)))
    _write(folder / "labels.csv", sheets.csv_bytes(sheets.label_table(cards, heads, lang)))
    _write(folder / "lists.pdf", sheets.lists_pdf(cards, heads, lang))
    _write(folder / "labels.pdf", sheets.labels_pdf(cards, heads, lang))


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as error:
        raise FileError(path, error.strerror or "cannot be written") from error
    print(f"{path}: {len(content) / 1000:.0f} kB", file=sys.stderr)


# ------------------------------------------------------------------ check


def check(chosen: argparse.Namespace) -> int:
    """Print every mistake of the cards, each with its file and line."""
    from bot.cards import check as checked
    from bot.cards import defaults

    if chosen.defaults:
        print("\n".join(defaults()))
    if not chosen.paths and not chosen.defaults:
        raise FileError(Path(), "name a card or an event's folder")
    errors = [error for path in chosen.paths for error in checked(path)]
    for error in errors:
        print(error, file=sys.stderr)
    if errors:
        return 2
    for path in chosen.paths:
        print(f"{path}: no mistakes")
    return 0


# ------------------------------------------------------------------ log


def log(chosen: argparse.Namespace) -> int:
    """Print a cook's log and whether its chain holds."""
    return asyncio.run(_log(chosen))


async def _log(chosen: argparse.Namespace) -> int:
    from bot.clock import SystemClock
    from bot.logtext import log_json, log_lines
    from bot.naming import with_names
    from bot.settings import read_settings
    from bot.store import open_store
    from core.cook import replay

    url = read_settings(os.environ, chosen.db).db_url
    _must_exist(url)
    store = await open_store(url, SystemClock())
    try:
        stream = f"cook:{chosen.cook}"
        broken = await store.verify(stream)
        entries = await _readable(store, stream, broken)
        if not entries and broken is None:
            known = ", ".join(s.removeprefix("cook:") for s in await store.streams("cook:"))
            raise UnknownNameError("cook", chosen.cook, known or "none yet")
        _, head = await store.head(stream)
        names = await store.people.names(chosen.cook)
    finally:
        await store.close()
    cook = with_names(replay(entries), names)
    if broken is not None and not entries:
        print(f"CHAIN BROKEN at #{broken}: the log was edited there and cannot be read.")
        return 0
    if chosen.json:
        print(_json(log_json(entries, cook, head, broken)))
    else:
        for line in log_lines(entries, cook, head, broken):
            print(line)
    if chosen.pdf:
        from bot.sheets import inspector_pdf

        lang = cook.cards.event.languages[0] if cook.cards else "en"
        zone: tzinfo = cook.cards.event.zone if cook.cards else UTC
        _write(chosen.pdf, inspector_pdf(entries, cook, head, broken, zone, lang))
    return 0


async def _readable(store: FactStore, stream: str, broken: int | None) -> Sequence[Entry]:
    """Return the entries; of a chain that is broken only what can still be read."""
    if broken is None:
        return await store.read(stream)
    try:
        return await store.read(stream)
    except (KitchenError, ValueError, KeyError, TypeError):
        return ()  # the break itself is what is told


def _must_exist(url: str) -> None:
    """Refuse to make a new file where somebody wants to read an old one."""
    path = Path(url.removeprefix("sqlite:///"))
    if url.startswith("sqlite:///") and not path.is_file():
        raise FileError(path, "there is no log here")


def verify(chosen: argparse.Namespace) -> int:
    """Verify the chain of every cook, and of the house; status 2 if one is broken."""
    return asyncio.run(_verify(chosen))


async def _verify(chosen: argparse.Namespace) -> int:
    from bot.clock import SystemClock
    from bot.settings import read_settings
    from bot.store import open_store

    url = read_settings(os.environ, chosen.db).db_url
    _must_exist(url)
    store = await open_store(url, SystemClock())
    try:
        streams = await store.streams("")
        broken = {stream: await store.verify(stream) for stream in streams}
    finally:
        await store.close()
    for stream, at in broken.items():
        print(f"OK {stream}" if at is None else f"BROKEN {stream} at #{at}: edited after that")
    print(f"{len(streams)} chains, {sum(at is not None for at in broken.values())} broken.")
    return 2 if any(at is not None for at in broken.values()) else 0


# ------------------------------------------------------------------ rehearse and demo


def rehearse(chosen: argparse.Namespace) -> int:
    """Play an event against a script."""
    from bot.cards import read_texts
    from bot.rehearse import Player
    from bot.script import read_script

    cards = _event(chosen.event)
    script = read_script(_text(chosen.script), cards, str(chosen.script))
    if chosen.json:
        from bot.sendjson import send_json

        sent: dict[str, int] = {}  # which row a key was, for rows that replace it on the screen

        def show(shown: Shown) -> None:
            n = sent.setdefault(shown.key, len(sent) + 1)
            edits = sent.get(shown.edit_of) if shown.edit_of else None
            at = cards.event.local(shown.at)
            row = send_json(n, at, shown.room, shown.message, shown.key, edits)
            print(json.dumps(row, ensure_ascii=False))

        asyncio.run(Player(cards, dict(read_texts(chosen.event)), script, show).play())
        return 0
    from bot.show import Story

    story = Story(cards, sys.stdout)
    player = Player(cards, dict(read_texts(chosen.event)), script, story.shown, story.said)
    cook, head = asyncio.run(player.play())
    story.closed(cook, head)
    return 0


def _text(path: Path) -> str:
    try:
        return path.read_text("utf-8")
    except OSError as error:
        raise FileError(path, error.strerror or "cannot be read") from error
    except UnicodeDecodeError as error:
        raise FileError(path, "is not UTF-8 text") from error


def demo(chosen: argparse.Namespace) -> int:
    """Play the bundled wedding's day: plan, picture, calls, a slip, the log."""
    from bot.cards import read_event, read_texts
    from bot.examples import GOLDEN_WEDDING
    from bot.pictures import timeline
    from bot.rehearse import Player
    from bot.script import read_script
    from bot.show import Story

    if not 0 <= chosen.speed < float("inf"):
        raise OutOfRangeError("speed", chosen.speed, "0 or more minutes per second")
    cards = read_event(GOLDEN_WEDDING)
    script = read_script((GOLDEN_WEDDING / "day.txt").read_text("utf-8"), cards, "day.txt")
    story = Story(cards, sys.stdout)
    texts: Mapping[str, str] = read_texts(GOLDEN_WEDDING)

    def pause(passed: timedelta) -> None:
        if chosen.speed:
            time.sleep(min(passed.total_seconds() / 60 / chosen.speed, 2.0))

    story.picture(Path("pitcrier-plan.png"), timeline)
    player = Player(cards, dict(texts), script, story.shown, story.said, pause)
    cook, head = asyncio.run(player.play())
    story.closed(cook, head)
    return 0


# ------------------------------------------------------------------ backup and restore


def copies(chosen: argparse.Namespace) -> int:
    """Copy the log while the bot runs, or put a copy into a new database."""
    from bot.settings import read_settings
    from bot.store.backup import backed_up, restored
    from bot.store.engine import place

    url = read_settings(os.environ, chosen.db).db_url
    if chosen.command == "backup":
        to = backed_up(place(url), chosen.file)
        print(f"{to}: {to.stat().st_size / 1000:.0f} kB")
    else:
        restored(chosen.file, url)
        print(f"Restored {chosen.file}. 'pitcrier log COOK' says whether its chain holds.")
    return 0


# ------------------------------------------------------------------ chat and serve


def chat(chosen: argparse.Namespace) -> int:
    """Run the bot in the terminal."""
    from bot.app import run_chat
    from bot.settings import read_settings

    run_chat(chosen.event, chosen.who, read_settings(os.environ, chosen.db).db_url)
    return 0


def serve(chosen: argparse.Namespace) -> int:
    """Run the configured front-ends; with --check, say whether they could."""
    from bot.app import run_serve
    from bot.settings import read_settings

    if chosen.check:
        return _checked(chosen)
    run_serve(read_settings(os.environ, chosen.db), chosen.event)
    return 0


def _checked(chosen: argparse.Namespace) -> int:
    """Print what each setting means, then whether database and platforms answer."""
    from bot.app import checked
    from bot.settings import key_lines, read_settings

    lines = list(key_lines(os.environ))
    print("\n".join(lines), flush=True)
    if any(line.startswith("NO") for line in lines):
        return 2
    lines = list(asyncio.run(checked(read_settings(os.environ, chosen.db))))
    print("\n".join(lines))
    return 0 if all(line.startswith("OK") for line in lines) else 2
