"""The door: who comes in, by a code or a tap, which room works for which cook, and who goes.

What is said here concerns no cook's day, so it is heard before the cook is. Only people on a crew
may speak to its cook; the chef and the leads let others in.
"""

from __future__ import annotations

import asyncio
import re
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import timedelta

from bot.accounts import HOUSE, Accounts
from bot.directory import folded_name
from bot.door.comings import Comings, needs_code
from bot.ports import (
    CrewRoom,
    FactStore,
    Happened,
    Heard,
    Hears,
    Incoming,
    Invitation,
    Outgoing,
    Seat,
)
from core.cook import Cook, Decision
from core.cook.people import may_add
from core.facts import AddPerson
from core.model import Answer, Label, Line, Person, Qty, Role, say

CODE_LETTERS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"  # none that are mistaken for another
CODE_LENGTH = 8
CODE_GOOD = timedelta(minutes=15)
FIRST_CODE_GOOD = timedelta(hours=24)
LONGEST_ASKING_S = 3.0
MOST_NAMES = 8
MOST_TAPS = 6

JOIN = re.compile(
    r"(?:/start(?:\s+me)?|/join|join|entrar|unirme)(?:\s+(?P<code>[2-9a-z]{8}))?", re.IGNORECASE
)
I_AM = re.compile(r"(?:/join|i['’]?m|i am|soy)\s+(?P<name>[^\d]{2,40})", re.IGNORECASE)
ADD = re.compile(
    r"(?P<slash>/?)(?:add|añade|anade|agrega)\s+(?:a\s+)?(?P<name>[^\d/,]{2,40}?)"
    r"(?:\s*,\s*(?P<role>[a-zí]+))?(?P<crew>\s+(?:to the crew|al equipo))?",
    re.IGNORECASE,
)
REMOVE = re.compile(
    r"(?:/remove|remove|quita)\s+(?:a\s+)?(?P<name>[^\d/,]{2,40}?)"
    r"(?:\s+(?:from the crew|del equipo))?",
    re.IGNORECASE,
)
HERE = re.compile(r"/here|use this room|usa esta sala", re.IGNORECASE)
MINE = re.compile(r"/mydata|what do you know (?:of|about) me|qué sabes de mí", re.IGNORECASE)
FORGET = re.compile(r"/forget|forget me( now)?|olvídame( ya)?", re.IGNORECASE)
AT_THE_DOOR = (JOIN, I_AM, ADD, REMOVE, HERE, MINE, FORGET)
"""What is said here and is nothing else, whatever somebody is in the middle of."""
ROLES = {
    "brasa": Role.PIT, "parrilla": Role.PIT, "frio": Role.COLD, "sala": Role.FRONT,
    "crudo": Role.RAW, "fregadero": Role.WASH, "conductor": Role.DRIVER, "linea": Role.LANE,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Met:
    """What the door makes of a message: an answer, perhaps a wish on the cook behind it."""

    decision: Decision
    wish: AddPerson | None = None
    opened: bool = False
    """Whether the room is new to the cook, and lacks its plan card."""


@dataclass(slots=True)
class Door:
    """Lets people and rooms in and out.

    `links` makes a platform's address that opens a chat; `chats` are asked whether they hear all
    that is said in a room.
    """

    store: FactStore
    accounts: Accounts
    links: Mapping[str, Callable[[str], str | None]] = field(default_factory=dict)
    chats: Mapping[str, object] = field(default_factory=dict)

    async def met(self, heard: Heard, cook: Cook, on: Outgoing | None = None) -> Met | None:
        """Return what a message does at the door; None if it is for the cook.

        `on` is the message of ours that was tapped or answered.
        """
        message = heard.message
        if message.happened is not Happened.SAID:
            return await self._happened(message, cook)
        if message.choice is not None:
            name = _tapped(on, message.choice)
            return await self._named_self(message, name, cook) if name else None
        text = message.text.strip()
        if (found := JOIN.fullmatch(text)) and not self._is_name(found["code"], cook):
            lines = await self._joined(message, found["code"], cook)
            asked = found["code"] is None and len(lines) > 1
            names = tuple(map(Label, self._unseated(cook)[:MOST_TAPS])) if asked else ()
            taps = tuple(say("{name}", name=name) for name in names)
            return Met(Decision(answer=Answer(lines, choices=taps)))
        if found := I_AM.fullmatch(text):
            return await self._named_self(message, found["name"], cook)
        if HERE.fullmatch(text):
            return await self._room_taken(message)
        if MINE.fullmatch(text):
            return _said((await self._known(message),))
        if found := FORGET.fullmatch(text):
            return _said(await self._forgotten(message, now=any(found.groups())))
        if found := ADD.fullmatch(text):
            return await self._added(message, found, cook)
        if (found := REMOVE.fullmatch(text)) and (met := await self._removed(message, found, cook)):
            return met
        await self._private_room(message)
        return self._stranger(message)

    # -------------------------------------------------------------- coming in

    async def code(self, cook: str, person: str, good: timedelta, message: Incoming) -> str:
        """Return a new one-time code for a person of a cook."""
        return await self.code_for(Invitation(cook, person, message.sent + good))

    async def code_for(self, invitation: Invitation) -> str:
        """Return a new one-time code for an invitation."""
        code = "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))
        await self.store.people.invite(code, invitation)
        return code

    async def _joined(self, message: Incoming, code: str | None, cook: Cook) -> tuple[Line, ...]:
        """Seat who brings a good code; without one, ask the crew's room who it is."""
        if code is None:
            await self._private_room(message)
            if self.accounts.seats_of(message):
                return (say("You are in. 'help' says what I hear."),)
            if self.accounts.room_of(message) is None:
                return (say("Ask the lead for a code: they say 'add' and your name."),)
            return (say("Who are you? Tap, or say: /join and your name"),
                    *_list(self._unseated(cook)))  # fmt: skip
        invited = await self.store.people.accept(code.upper(), message.sent)
        if invited is None and self.accounts.seats_of(message):
            return (say("You are in. 'help' says what I hear."),)
        if invited is None:
            return (say("That code is used or too old. Ask the lead for a new one."),)
        return await self._seated(message, invited.cook, invited.person)

    async def _seated(self, message: Incoming, cook: str, person: str) -> tuple[Line, ...]:
        room = message.room if message.private else None
        await self.store.people.seat(Seat(cook, person, message.network, message.who, room))
        await self.accounts.refresh()
        name = (await self.store.people.names(cook)).get(person, person)
        if room is not None:
            return (say("You are {name}. Your calls ring here.", name=Label(name)),)
        first = say("You are {name}. Your calls ring in this room.", name=Label(name))
        link = self._link(message.network, "me")
        more = say("To have them on your own screen, open: {link}", link=Label(link or ""))
        return (first, more) if link else (first,)

    async def _named_self(self, message: Incoming, name: str, cook: Cook) -> Met | None:
        """Seat somebody who says who they are in the crew's own room; leads need a code."""
        if self.accounts.room_of(message) is None or cook.cards is None:
            return None
        if self.accounts.seat_of(message, cook.id) is not None:
            return None
        wanted = folded_name(name)
        person = next((p for p in cook.cards.crew if folded_name(p.name) == wanted), None)
        if person is None and message.choice is not None:
            return None
        if person is None:
            return _said((say("Nobody on this crew is called that."),
                          *_list(self._unseated(cook))))  # fmt: skip
        if needs_code(person) or person.id in self.accounts.seated(cook.id):
            return _said((say("{name} needs a code. Ask the lead.", name=Label(person.name)),))
        return _said(await self._seated(message, cook.id, person.id))

    def _is_name(self, word: str | None, cook: Cook) -> bool:
        """Say whether eight letters are somebody's name and no code."""
        crew = cook.cards.crew if cook.cards and word else ()
        return any(folded_name(p.name) == folded_name(word or "") for p in crew)

    def _unseated(self, cook: Cook) -> tuple[str, ...]:
        seated = self.accounts.seated(cook.id)
        crew = cook.cards.crew if cook.cards else ()
        return tuple(p.name for p in crew if p.id not in seated and not needs_code(p))

    async def _added(self, message: Incoming, found: re.Match[str], cook: Cook) -> Met | None:
        """Give a code for somebody on the card, or take a new person onto the crew."""
        seat = self.accounts.seat_of(message, cook.id)
        if seat is None or cook.cards is None:
            return None
        if not may_add(cook.cards, seat.person):
            chef = Label(cook.cards.chef.name if cook.cards.chef else "")
            refused = say("Not yours to change: {what}. Ask {whom}.", what="the crew", whom=chef)
            return _said((refused,)) if found["slash"] else None
        name = " ".join(found["name"].split())
        known = next((p for p in cook.cards.crew if folded_name(p.name) == folded_name(name)), None)
        if known is None and not (found["slash"] or found["crew"] or found["role"]):
            return None  # 'add salt' is for the cook
        person = known or _new_person(name, found["role"], cook)
        wish = None
        if known is None:
            await self.store.people.name(cook.id, person.id, name)
            wish = AddPerson(person)
        code = await self.code(cook.id, person.id, CODE_GOOD, message)
        lines = [
            say("{name} sends me: join {code}", name=Label(name), code=Label(code)),
            say("Good once, for {time}.", time=Qty(CODE_GOOD.total_seconds() / 60, "min", 0)),
        ]
        if link := self._link(message.network, code):
            lines.append(say("Or opens: {link}", link=Label(link)))
        return Met(Decision(answer=Answer(tuple(lines))), wish)

    async def _removed(self, message: Incoming, found: re.Match[str], cook: Cook) -> Met | None:
        """Take every account of somebody on the card off this cook; the chef is taken by nobody."""
        seat = self.accounts.seat_of(message, cook.id)
        if seat is None or cook.cards is None or not may_add(cook.cards, seat.person):
            return None
        wanted = folded_name(found["name"])
        person = next((p for p in cook.cards.crew if folded_name(p.name) == wanted), None)
        if person is None or person.role is Role.CHEF:
            return None
        for taken in self.accounts.seats_for(cook.id, person.id):
            await self.store.people.unseat(taken)
        await self.accounts.refresh()
        return _said((say("{name} is not heard any more. A new code lets them in again.",
                          name=Label(person.name)),))  # fmt: skip

    # -------------------------------------------------------------- rooms

    async def _room_taken(self, message: Incoming) -> Met:
        """Let a room work for the cook of the chef or lead who says so."""
        cook = self._led_by(message)
        if cook is None or message.private:
            return _said((say("Only the chef can do that, in the crew's room."),))
        for beside in self.accounts.rooms_beside(message):
            if beside.cook == cook and beside.room != message.room:  # one topic of a chat is enough
                await self.store.people.leave_room(beside.network, beside.room)
        await self.store.people.open_room(CrewRoom(message.network, message.room, cook))
        await self.accounts.refresh()
        lines = [say("This room hears {cook} now. Say /join to say who you are.", cook=Label(cook))]
        if await self._is_hard_of_hearing(message):
            lines.append(say("Here I hear only lines with / in front: /on b2, /next, /help."))
            lines.append(say("Make me an administrator of this group and I hear all of it."))
        return Met(Decision(answer=Answer(tuple(lines))), opened=True)

    async def _is_hard_of_hearing(self, message: Incoming) -> bool:
        """Say whether the platform surely keeps from us what is said in a room."""
        chat = self.chats.get(message.network)
        if not isinstance(chat, Hears):
            return False
        try:
            async with asyncio.timeout(LONGEST_ASKING_S):
                return await chat.hears(message.room) is False
        except TimeoutError:
            return False

    def _led_by(self, message: Incoming) -> str | None:
        mine = {s.cook for s in self.accounts.seats_of(message)}
        here = [cook for cook in self.accounts.running if cook in mine]
        return here[-1] if here else None

    async def _private_room(self, message: Incoming) -> None:
        """Remember where somebody can be rung alone, the first time they speak there."""
        if not message.private:
            return
        for seat in self.accounts.seats_of(message):
            if seat.room != message.room:
                mine = Seat(seat.cook, seat.person, seat.network, seat.who, message.room)
                await self.store.people.seat(mine)
                await self.accounts.refresh()

    async def _happened(self, message: Incoming, cook: Cook) -> Met | None:
        match message.happened:
            case Happened.ADDED if message.private:
                return _said(await self._joined(message, None, cook))
            case Happened.ADDED:
                if self._led_by(message) is None:
                    return _said((say("Here is Pitcrier. The chef says: use this room"),))
                return await self._room_taken(message)
            case Happened.REACTED:
                known = self.accounts.seat_of(message, self.accounts.cook(message))
                return None if known else Met(Decision())
            case _:
                comings = Comings(self.store.people, self.accounts)
                return Met(await comings.seen(message, cook))

    # -------------------------------------------------------------- going

    async def _known(self, message: Incoming) -> Line:
        seats = [s for s in self.accounts.seats_of(message) if s.cook != HOUSE]
        named = [(await self.store.people.names(s.cook)).get(s.person, "") for s in seats]
        names = ", ".join(dict.fromkeys(n for n in named if n)) or "-"
        cooks = ", ".join(dict.fromkeys(s.cook for s in seats)) or "-"
        return say("I know you as {names}, for {cooks}, and the messages you sent.",
                   names=Label(names), cooks=Label(cooks))  # fmt: skip

    async def _forgotten(self, message: Incoming, *, now: bool) -> tuple[Line, ...]:
        """Erase an account's name, address and words; the facts keep an id that names nobody."""
        if not now:
            more = say("To erase your name, your address and your words, say: forget me now")
            return (await self._known(message), more)
        people, house = self.store.people, await self.store.people.names(HOUSE)
        for seat in self.accounts.seats_of(message):
            if seat.person in house:  # called so on a saved event: by the id from now on
                await people.name(HOUSE, seat.person, seat.person)
        await people.erase(message.network, message.who)
        await self.accounts.refresh()
        return (say("Erased. What you reported stays, without your name."),)

    def _stranger(self, message: Incoming) -> Met | None:
        """Keep still where somebody unknown only talks in the crew's room."""
        if message.private or self.accounts.seat_of(message, self.accounts.cook(message)):
            return None
        return None if message.text.startswith("/") else Met(Decision())

    def _link(self, network: str, code: str) -> str | None:
        made = self.links.get(network)
        return made(code) if made else None


def _said(lines: tuple[Line, ...]) -> Met:
    return Met(Decision(answer=Answer(lines)))


def _tapped(on: Outgoing | None, choice: str) -> str | None:
    """Return the words of the choice that was tapped."""
    if on is None or not choice.isdigit() or not 1 <= int(choice) <= len(on.choices):
        return None
    return on.choices[int(choice) - 1]


def _list(names: tuple[str, ...]) -> tuple[Line, ...]:
    shown = ", ".join(names[:MOST_NAMES])
    return (say("Not here yet: {names}.", names=Label(shown)),) if names else ()


def _new_person(name: str, role: str | None, cook: Cook) -> Person:
    """Return somebody new with an id that is free."""
    taken = {p.id for p in cook.cards.crew} if cook.cards else set()
    root = re.sub(r"[^a-z0-9]+", "-", folded_name(name)).strip("-")[:20] or "person"
    free = (f"{root}{n or ''}" for n in range(MOST_TRIED))
    folded = folded_name(role) if role else ""
    named = {r.value: r for r in Role if r is not Role.CHEF} | ROLES
    return Person(next(i for i in free if i not in taken), name, named.get(folded, Role.CREW))


MOST_TRIED = 1000
