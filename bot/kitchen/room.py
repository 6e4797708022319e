"""A message heard in a private chat to facts of the house and an answer, in one commit."""

from __future__ import annotations

import asyncio
import re
from dataclasses import dataclass, field, replace

from bot.directory import Directory
from bot.dispatch import Dispatcher
from bot.kitchen.drafting import GOES_ON, STOPS, answered, opened, resumed, unread
from bot.kitchen.host import host_of
from bot.kitchen.shelf import shelved
from bot.kitchen.talk import Done, Host, Said
from bot.phrases import Asked, Ear, Queried, Wished, parse
from bot.phrases.kitchen import KitchenSaid, kitchen_said
from bot.ports import (
    Clock,
    FactStore,
    Happened,
    Heard,
    NewFact,
    NewSend,
    Outgoing,
    StaleError,
    Tag,
    Wake,
)
from bot.render import render, render_answer
from bot.replies import ANSWER, Reply
from bot.understand import ALLERGY, context_for, ear_for
from core.ask import ask
from core.facts import CardKind, GiveReading, ReportStep, SafetyWish
from core.house import STREAM
from core.model import Verdict
from core.trial.asking import next_field
from core.trial.book import Draft, KitchenBook, evolve_book
from core.words.atoms import folded

CLASHES = 8
_TAP = re.compile(r"\s*\[\s*(\d{1,2})\s*\]\s*")
_GO_ON = re.compile(r"^\s*(?:go on(?: with)?|sigue(?: con)?|resume|contin[uú]a(?: con)?)\s+(\S.*)$",
                    re.IGNORECASE)  # fmt: skip
_ALLERGENS = re.compile(r"^\s*(?:allergens?|al[eé]rgenos?|contains|contiene)\b", re.IGNORECASE)


@dataclass(slots=True)
class Kitchen:
    """Hears what is said alone with the bot before the cook does, and keeps cards of the house."""

    store: FactStore
    clock: Clock
    directory: Directory
    dispatcher: Dispatcher
    _book: KitchenBook = field(default_factory=KitchenBook)

    async def book(self) -> KitchenBook:
        """Return all drafts and cards, as far as the house's stream goes."""
        for entry in await self.store.read(STREAM, self._book.seq):
            self._book = evolve_book(self._book, entry)
        return self._book

    async def heard(self, heard: Heard, on: Outgoing | None) -> bool:
        """Take a message that is the kitchen's; False leaves it to the door and the cook."""
        message = heard.message
        if not message.private or message.happened is not Happened.SAID:
            return False
        host = await host_of(message, self.directory, self.dispatcher)
        if host is None:
            return False
        for _ in range(CLASHES):
            book = await self.book()
            said = self._said(heard, on, host, book)
            done = await asyncio.to_thread(self._made, said, heard)
            if done is None:
                return False
            try:
                await self._commit(heard, said, done)
            except StaleError:
                continue
            return True
        raise StaleError(f"{CLASHES} clashes on {STREAM}")

    # -------------------------------------------------------------- what it is

    def _said(self, heard: Heard, on: Outgoing | None, host: Host, book: KitchenBook) -> Said:
        message = heard.message
        text = message.text
        typed = _TAP.fullmatch(text)
        number = message.choice or (typed[1] if typed else None)
        tapped = None
        if number is not None and number.isdigit():
            tapped = self._tapped(on, host, book, int(number))
            text = ""
        return Said(text, host, book, self.clock.now(), str(heard.id), tapped)

    def _tapped(
        self, on: Outgoing | None, host: Host, book: KitchenBook, number: int
    ) -> tuple[str, str, int]:
        """Return the draft and field a tap is under: by the message, else the question asked."""
        keys = on.tag.keys if on is not None and on.tag is not None else ()
        if on is not None:
            parts = keys[-1].split("/") if keys else []
            return (parts[1], parts[2], number) if parts[:1] == ["kitchen"] else ("", "", number)
        draft = book.current(host.person, self.clock.now())
        if draft is None or _newer(host, draft):
            return ("", "", number)
        each = next_field(draft.kind, draft.values)
        return (draft.id, each.name if each else "save", number)

    def _made(self, said: Said, heard: Heard) -> Done | None:
        """Return what the kitchen makes of a message; None if it is not the kitchen's."""
        wish = kitchen_said(said.text)
        if wish is not None:
            return self._wished(said, wish)
        draft = said.book.current(said.host.person, said.now)
        if said.tapped is not None:
            mine = said.book.drafts.get(said.tapped[0])
            ok = mine is not None and mine.by == said.host.person and not mine.saved
            return answered(said, mine) if mine is not None and ok else None
        going = self._going_on(said, draft)
        if going is not None:
            return going
        if draft is None or self._never(said, heard):
            return None
        return answered(said, draft) or self._unread(said, heard, draft)

    def _unread(self, said: Said, heard: Heard, draft: Draft) -> Done | None:
        """Ask again where neither the draft nor the cook can read a line."""
        meant = parse(said.text, self._ear(said, heard))
        cooking = said.host.cook.cards is not None
        if isinstance(meant, Wished | Queried) and cooking:
            return None
        if isinstance(meant, Asked) and cooking:
            reply = Reply(heard, self.directory, said.host.cook, said.host.cook.id, said.now)
            if ask(meant.text, context_for(reply, said.now)).verdict is not Verdict.UNKNOWN:
                return None
        return unread(said, draft)

    def _wished(self, said: Said, wish: KitchenSaid) -> Done | None:
        said = replace(said, host=replace(said.host, lang=wish.lang))
        match wish.what:
            case "new-dish":
                return opened(said, CardKind.DISH, wish.name, {"lang": wish.lang})
            case "new-event":
                return None
            case _:
                return shelved(said, wish)

    def _going_on(self, said: Said, current: Draft | None) -> Done | None:
        """Return a shelved or left draft taken up again by 'go on', perhaps with its name."""
        plain = _plain(said.text)
        named = _GO_ON.match(said.text)
        mine = said.book.drafts_of(said.host.person)
        if named is not None:
            wanted = folded(named[1].strip(" .!?"))
            return next((resumed(said, d) for d in reversed(mine) if folded(d.name) == wanted),
                        None)  # fmt: skip
        if plain not in GOES_ON or current is not None or not mine:
            return None
        return resumed(said, mine[-1])

    def _never(self, said: Said, heard: Heard) -> bool:
        """Say whether a line must not be taken for an answer: alarms, reports, other questions."""
        text = said.text.strip()
        if not text or text.startswith(("/", "!")) or "?" in text:
            return True
        if ALLERGY.search(text) and not _ALLERGENS.match(text):
            return True
        if _plain(text) in STOPS | GOES_ON:
            return False
        meant = parse(text, self._ear(said, heard))
        match meant:
            case Queried(what="sos"):
                return True
            case Wished(wishes=wishes):
                alarm = any(isinstance(w, SafetyWish) for w in wishes)
                return alarm or (_live(said) and any(_names(w) for w in wishes))
            case _:
                return False

    def _ear(self, said: Said, heard: Heard) -> Ear:
        cook = said.host.cook
        if cook.cards is None:
            return Ear(said.now, said.host.zone)
        return ear_for(Reply(heard, self.directory, cook, cook.id, said.now), said.now)

    # -------------------------------------------------------------- kept

    async def _commit(self, heard: Heard, said: Said, done: Done) -> None:
        """Append the facts, queue the answer and close the inbox row, in one commit."""
        now = said.now
        facts = [NewFact(now, said.host.person, fact) for fact in done.facts]
        sends = (self._answer(heard, said, done),)
        await self.store.append(STREAM, said.book.seq, facts, now, sends, heard.id, Wake(None))
        self.dispatcher.nudge()

    def _answer(self, heard: Heard, said: Said, done: Done) -> NewSend:
        host, where = said.host, heard.message
        lang = done.lang or host.lang
        lines = render_answer(done.answer, lang, host.zone, said.now)
        choices = tuple(render(c, lang, host.zone, said.now) for c in done.answer.choices)
        keys = (done.key,) if done.key else ()
        tag = Tag("reply", (host.person,), done.answer.verdict, keys=keys)
        message = Outgoing(
            tuple(lines), choices, documents=done.documents, reply_to=where.ext_id, tag=tag
        )
        key = f"r:{heard.id}:0"
        return NewSend(key, where.network, where.room, message, ANSWER, must=True)


def _newer(host: Host, draft: Draft) -> bool:
    """Say whether the cook has asked or called this person since the draft was last spoken of."""
    cook = host.cook
    at = {entry.seq: entry.at for entry in cook.entries}
    newest = [x.seq for x in cook.open_calls(host.person)]
    newest += [x.seq for x in cook.open_questions(host.person)]
    return any(at.get(seq, draft.touched) > draft.touched for seq in newest)


def _names(wish: object) -> bool:
    """Say whether a report or reading names what it is about: that is the cook's."""
    match wish:
        case ReportStep(subject=subject):
            return bool(subject)
        case GiveReading(reading=reading):
            return bool(reading.about)
        case _:
            return False


def _plain(text: str) -> str:
    return " ".join(folded(text).strip(" .!?").split())


def _live(said: Said) -> bool:
    """Say whether the cook is at work: then what names a load or a fire is about that."""
    cook = said.host.cook
    if cook.cards is None or cook.closed:
        return False
    day = cook.cards.event.day
    today = said.now.astimezone(said.host.zone).date()
    return abs((day - today).days) <= 1
