"""A message heard in a private chat to facts of the house and an answer, in one commit."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from bot.accounts import HOUSE, Accounts
from bot.cards import CardsError
from bot.directory import Directory
from bot.dispatch import PREFIX, Dispatcher, new_cook_id
from bot.door import AT_THE_DOOR
from bot.kitchen.drafting import GOES_ON, STOPS, answered, opened, resumed, unread
from bot.kitchen.files import document, of_the_kitchen, taken, too_large
from bot.kitchen.host import host_of
from bot.kitchen.shelf import shelved
from bot.kitchen.starting import START, chosen, event_cards, offered
from bot.kitchen.talk import Base, Done, Host, Said, told
from bot.phrases import Asked, Ear, Queried, Wished, parse
from bot.phrases.kitchen import KitchenSaid, kitchen_said
from bot.ports import (
    Attached,
    Chat,
    Clock,
    FactStore,
    FetchError,
    Happened,
    Heard,
    Incoming,
    Medium,
    NewFact,
    NewSend,
    Outgoing,
    Remote,
    Seat,
    StaleError,
    Tag,
    Wake,
)
from bot.render import render, render_answer
from bot.replies import ANSWER, Reply
from bot.understand import ALLERGY, context_for, ear_for
from core.ask import ask
from core.cook import Cook
from core.facts import CardKind, CardsTaken, GiveReading, ReportStep, SafetyWish
from core.house import STREAM
from core.model import Label, Line, Verdict, say
from core.trial.asking import next_field
from core.trial.book import Draft, KitchenBook, Saved, evolve_book
from core.words.atoms import folded

CLASHES = 8
FETCH_S = 30.0
CONSOLE = "console"
_TAP = re.compile(r"\s*\[\s*(\d{1,2})\s*\]\s*")
_GO_ON = re.compile(r"^\s*(?:go on(?: with)?|sigue(?: con)?|resume|contin[uú]a(?: con)?)\s+(\S.*)$",
                    re.IGNORECASE)  # fmt: skip
_COOKS_OWN = frozenset({"sos", "status", "next", "me", "who", "plan", "help", "timers", "load-out",
                        "catch-up", "left", "first"})  # fmt: skip
_COOK = re.compile(r"^\s*(?:[/!]cook(?:@\w+)?|cook|start|cocina|empieza|arranca)\s+(\S.{0,70})$",
                   re.IGNORECASE)  # fmt: skip
_ALLERGENS = re.compile(r"^\s*(?:allergens?|al[eé]rgenos?|contains|contiene)\b", re.IGNORECASE)


@dataclass(slots=True)
class Kitchen:
    """Hears what is said alone with the bot before the cook does, and keeps cards of the house."""

    store: FactStore
    clock: Clock
    directory: Directory
    dispatcher: Dispatcher
    chat: Callable[[str], Chat | None] = lambda _: None
    """The front-end of a network, which fetches what was attached there."""
    before: Callable[[str], None] = lambda _: None
    """Told of a cook that is about to start here, so that this front-end hears it."""
    _book: KitchenBook = field(default_factory=KitchenBook)
    _pending: dict[str, str] = field(default_factory=dict)
    """Whose offer to start what waits for a word; lost at a restart, it is asked for again."""

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
        files = [file for file in message.attached if of_the_kitchen(file)]
        fetched = await self._fetched(message, files[0]) if files else b""
        for _ in range(CLASHES):
            said = self._said(heard, on, host, await self.book())
            house = await self.dispatcher.memory.house()
            said = replace(said, bases=await self._bases(said), measured=house.all_known())
            names = await self.store.people.names(HOUSE)
            done: Done | None
            if files:
                done = await asyncio.to_thread(_filed, said, files[0], fetched)
            else:
                done = await asyncio.to_thread(self._made, said, heard, names)
            if done is None:
                return False
            self._pending.pop(host.person, None)
            if done.key.startswith("kitchen/+"):
                self._pending[host.person] = done.key.split("/")[1]
            if done.start is not None:
                done = await self._started(said, done.start, names)
            try:
                await self._commit(heard, said, done)
            except StaleError:
                continue
            return True
        raise StaleError(f"{CLASHES} clashes on {STREAM}")

    async def _fetched(self, message: Incoming, file: Attached) -> bytes | Line:
        """Return an attached file, or why it cannot be had; too large, it is not asked for."""
        refused = too_large(file, file.size)
        if refused is not None:
            return refused
        chat = self.chat(message.network)
        if not isinstance(chat, Remote):
            return say("Files cannot be fetched here.")
        try:
            return await asyncio.wait_for(chat.fetch(file.ref), FETCH_S)
        except (FetchError, TimeoutError):
            return say("I could not get {name}. Send it again.", name=Label(file.name[:60]))

    async def medium(self, name: str) -> Medium | None:
        """Return a saved card's file by the name a message gives it."""
        return document(await self.book(), name)

    async def _bases(self, said: Said) -> tuple[Base, ...]:
        """Return the events a new one may be like, newest first, where one is talked of."""
        wish = kitchen_said(said.text)
        draft = said.book.current(said.host.person, said.now)
        about = wish is not None and wish.what in {"new-event", "card", "edit-card", "copy-card"}
        about = about or (draft is not None and draft.kind is CardKind.EVENT)
        about = about or _GO_ON.match(said.text) is not None or _plain(said.text) in GOES_ON
        cook = cook_named(said.text)
        if not (about or cook or said.tapped):
            return ()
        found: dict[str, Base] = {}
        for stream in await self.store.streams(PREFIX):
            base = base_of_cook(await self.dispatcher.cook(stream.removeprefix(PREFIX)))
            if base is not None:
                found[base.cards.event.id] = base
        names = await self.store.people.names(HOUSE)
        for card in sorted(said.book.offered(CardKind.EVENT), key=lambda c: c.at):
            base = await asyncio.to_thread(base_of_card, card, names)
            if base is not None:
                found.pop(base.cards.event.id, None)
                found[base.cards.event.id] = base
        return tuple(reversed(found.values()))

    async def _started(self, said: Said, name: str, names: Mapping[str, str]) -> Done:
        """Start a saved event's cook, unless it is open already; who starts it is on its crew."""
        card = said.book.card(CardKind.EVENT, name)
        assert card is not None  # offered a moment ago, in this very book
        cards = event_cards(card.texts, names)
        for cook in await self.dispatcher.open_cooks():
            if cook.cards is not None and cook.cards.event.id == cards.event.id:
                return Done(
                    told(say("{cook} is open.", cook=Label(cook.id))), lang=_lang_of(said, card)
                )
        cook_id = await new_cook_id(self.store, cards.event.id)
        chef = cards.chef or cards.crew[0]
        await self.seat(cook_id, chef.id, said)
        self.before(cook_id)
        await self.dispatcher.start(cook_id, cards, dict(card.texts), chef.id)
        return Done(told(say("{cook} started. The room has the plan; 'next' says what is first.",
                             cook=Label(cook_id))), lang=_lang_of(said, card))  # fmt: skip

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
        return Said(text, host, book, self.clock.now(), str(heard.id), tapped, heard=message)

    def _tapped(
        self, on: Outgoing | None, host: Host, book: KitchenBook, number: int
    ) -> tuple[str, str, int]:
        """Return the draft and field a tap is under: by the message, else the question asked."""
        keys = on.tag.keys if on is not None and on.tag is not None else ()
        if on is None and (waits := self._pending.get(host.person)) is not None:
            return (waits, "start", number)
        if on is not None:
            parts = keys[-1].split("/") if keys else []
            return (parts[1], parts[2], number) if parts[:1] == ["kitchen"] else ("", "", number)
        draft = book.current(host.person, self.clock.now())
        if draft is None or _newer(host, draft):
            return ("", "", number)
        each = next_field(draft.kind, draft.values)
        return (draft.id, each.name if each else "save", number)

    def _made(self, said: Said, heard: Heard, names: Mapping[str, str]) -> Done | None:
        """Return what the kitchen makes of a message; None if it is not the kitchen's."""
        wish = kitchen_said(said.text)
        if wish is not None:
            done = self._wished(said, wish)
            return replace(done, lang=done.lang or wish.lang)
        wanted = cook_named(said.text)
        event = self._event(said, wanted) if wanted else None
        if event is not None:
            return replace(offered(said, event, names), lang=_lang_of(said, event))
        if said.tapped is not None and said.tapped[0].startswith("+"):
            return chosen(said, said.tapped[0][1:], said.tapped[2])
        waits = self._pending.get(said.host.person)
        if waits is not None and _plain(said.text) in START.taps[0].words:
            return chosen(said, waits[1:], 1)
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

    def _wished(self, said: Said, wish: KitchenSaid) -> Done:
        said = replace(said, host=replace(said.host, lang=wish.lang))
        match wish.what:
            case "new-dish":
                return opened(said, CardKind.DISH, wish.name, {"lang": wish.lang})
            case "new-event":
                return self._new_event(said, wish)
            case _:
                return shelved(said, wish)

    def _new_event(self, said: Said, wish: KitchenSaid) -> Done:
        """Begin an event, if there is a kit and a crew it can have."""
        if not said.bases:
            return Done(told(say("No kit and crew yet: start one event from its folder first.")))
        return opened(said, CardKind.EVENT, wish.name, {"lang": wish.lang})

    def _event(self, said: Said, name: str) -> Saved | None:
        wanted = folded(name)
        for card in said.book.offered(CardKind.EVENT):
            draft = said.book.drafts.get(card.draft)
            called_so = {card.card, folded(card.card.replace("-", " "))}
            if draft is not None:
                called_so.add(folded(draft.name))
            if wanted in called_so:
                return card
        return None

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
        if any(known.fullmatch(text) for known in AT_THE_DOOR):
            return True
        if ALLERGY.search(text) and not _ALLERGENS.match(text):
            return True
        if _plain(text) in STOPS | GOES_ON:
            return False
        meant = parse(text, self._ear(said, heard))
        match meant:
            case Queried(what=what) if what in _COOKS_OWN:
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

    async def seat(self, cook_id: str, person: str, said: Said) -> None:
        """Seat who starts a cook as its chef, where an account of the house has no seat there."""
        if not isinstance(self.directory, Accounts) or said.heard is None:
            return
        message = said.heard
        seats = [s for s in self.directory.seats_of(message) if s.cook != HOUSE]
        if any(s.person == person for s in seats):
            return  # taken over with everybody else's
        await self.store.people.seat(
            Seat(cook_id, person, message.network, message.who, message.room)
        )

    async def _commit(self, heard: Heard, said: Said, done: Done) -> None:
        """Append the facts, queue the answer and close the inbox row, in one commit."""
        now = said.now
        facts = [NewFact(now, said.host.person, fact) for fact in done.facts]
        for person, name in done.names:
            await self.store.people.name(HOUSE, person, name)
        sends = (self._answer(heard, said, done),)
        await self.store.append(STREAM, said.book.seq, facts, now, sends, heard.id, Wake(None))
        self.dispatcher.nudge()

    def _answer(self, heard: Heard, said: Said, done: Done) -> NewSend:
        host, where = said.host, heard.message
        lang = done.lang or host.lang
        lines = list(render_answer(done.answer, lang, host.zone, said.now))
        choices = tuple(render(c, lang, host.zone, said.now) for c in done.answer.choices)
        keys = (done.key,) if done.key else ()
        if where.network == CONSOLE:  # paper takes no files: their text is shown
            media = [m for m in (document(said.book, n) for n in done.documents) if m is not None]
            lines += [line for m in media for line in m.content.decode().splitlines()]
        tag = Tag("reply", (host.person,), done.answer.verdict, keys=keys)
        message = Outgoing(
            tuple(lines), choices, documents=done.documents, reply_to=where.ext_id, tag=tag
        )
        key = f"r:{heard.id}:0"
        return NewSend(key, where.network, where.room, message, ANSWER, must=True)


def _lang_of(said: Said, card: Saved) -> str | None:
    """Return the language a card was captured in; None for the speaker's own."""
    draft = said.book.drafts.get(card.draft)
    return draft.values.get("lang") if draft is not None else None


def _filed(said: Said, file: Attached, fetched: bytes | Line) -> Done:
    return Done(told(fetched)) if isinstance(fetched, Line) else taken(said, file, fetched)


def cook_named(text: str) -> str | None:
    """Return the event that '/cook NAME' or 'start NAME' is about.

    Examples
    --------
    >>> cook_named("/cook harvest supper"), cook_named("empieza cena"), cook_named("A on")
    ('harvest supper', 'cena', None)
    """
    found = _COOK.match(text)
    return found[1].strip(" .!?") if found else None


def base_of_cook(cook: Cook) -> Base | None:
    """Return a cook as an event that another may be like."""
    taken = next((e.fact for e in cook.entries if isinstance(e.fact, CardsTaken)), None)
    if cook.cards is None or taken is None or "kit.toml" not in taken.texts:
        return None
    return Base(cook.id, cook.cards.event.name, cook.cards, taken.texts)


def base_of_card(card: Saved, names: Mapping[str, str]) -> Base | None:
    """Return a saved event as one that another may be like; None if it reads no more."""
    try:
        cards = event_cards(card.texts, names)
    except CardsError:
        return None
    return Base(card.card, cards.event.name, cards, card.texts)


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
