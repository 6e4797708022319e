"""Telling who leads the fires what nobody else will: what did not arrive, what is down.

One message, once, by a way that works: the lead's own chats on any network, then the chef's, then
the crew's rooms. Where a notice comes to nothing too, it goes on to the next way and never back,
so it cannot loop; its key, which names the cook and the way, is sent once for ever.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import groupby

from bot.accounts import Accounts
from bot.directory import Address
from bot.dispatch import PREFIX, Dispatcher
from bot.ports import NewSend, Outgoing, Tag, Trouble
from bot.replies import ANSWER, URGENT, Voice
from core.cook import Cook
from core.model import Clock, Label, Lead, Line, Person, Sound, say
from core.rights import CLIENT

LOG = logging.getLogger("pitcrier.leads")

TOLD = "told"
MOST_SHOWN = 2
"""Lines of the message itself: the notice is four lines long at most."""


@dataclass(frozen=True, slots=True)
class Way:
    """Where somebody who leads is reached; in a room everybody reads along."""

    at: Address
    person: str | None = None


@dataclass(slots=True)
class Leads:
    """Words and queues notices for the leads of the open cooks."""

    dispatcher: Dispatcher

    # -------------------------------------------------------------- ways

    def ways(self, cook: Cook) -> tuple[Way, ...]:
        """Return how who leads is reached, the best way first."""
        directory = self.dispatcher.directory
        people = dict.fromkeys(person.id for person in _leading(cook))
        own = [Way(at, who) for who in people for at in directory.privates(cook.id, who)]
        return (*own, *(Way(at) for at in directory.crew_rooms(cook.id)))

    def message(self, cook: Cook, way: Way, lines: Sequence[Line], sound: Sound) -> Outgoing:
        """Return these lines as they are read on that way."""
        voice = Voice(self.dispatcher.directory, cook.id, cook.cards, self.dispatcher.clock.now())
        if way.person is not None:
            texts = tuple(voice.text(line, way.person) for line in lines)
        else:
            texts = tuple(text for line in lines for text in voice.for_room(line))
        to = (way.person,) if way.person is not None else ("room",)
        return Outgoing(texts, sound=sound, tag=Tag("finding", to))

    def notice(
        self,
        cook: Cook,
        about: str,
        lines: Sequence[Line],
        *,
        sound: Sound = Sound.ONCE,
        without: Address | None = None,
        network: str | None = None,
    ) -> tuple[NewSend, ...]:
        """Return the message by the best way; not into room `without`, nor on that network."""
        for number, way in enumerate(self.ways(cook)):
            if way.at != without and way.at.network != network:
                message = self.message(cook, way, lines, sound)
                return (_send(f"{TOLD}:{number}:{cook.id}:{about}", way.at, message),)
        LOG.error("nobody can be told", extra={"cook": cook.id, "about": about})
        return ()

    async def _queue(self, cook: Cook, sends: Sequence[NewSend]) -> None:
        now = self.dispatcher.clock.now()
        await self.dispatcher.store.append(PREFIX + cook.id, 0, (), now, sends)

    # -------------------------------------------------------------- what did not arrive

    async def given_up(self, troubles: Sequence[Trouble]) -> None:
        """Tell of messages that were given up: a line a room, however many there were."""
        cooks = {cook.id: cook for cook in await self.dispatcher.open_cooks()}
        notices = [t for t in troubles if t.key.startswith(f"{TOLD}:")]
        for notice in notices:
            await self._pass_on(cooks, notice)
        others = sorted((t for t in troubles if t not in notices), key=_where)
        for (network, room), group in groupby(others, key=_where):
            await self._tell_of(cooks, Address(network, room), tuple(group))

    async def _tell_of(
        self, cooks: Mapping[str, Cook], room: Address, troubles: tuple[Trouble, ...]
    ) -> None:
        last = troubles[-1]
        LOG.warning("given up", extra={"key": last.key, "why": last.why, "n": len(troubles)})
        found = self._whose(cooks, room, last)
        if found is None:
            return
        cook, person = found
        if person is not None and last.closed:
            await self._rung_aloud(cook, person, room, troubles)
        loud = any(t.message.sound is not Sound.SILENT for t in troubles)
        sound = Sound.ONCE if loud else Sound.SILENT
        lines = given_up_lines(_who(cook, person), troubles)
        await self._queue(cook, self.notice(cook, last.key, lines, sound=sound, without=room))

    async def _rung_aloud(
        self, cook: Cook, person: str, room: Address, troubles: Sequence[Trouble]
    ) -> None:
        """Ring somebody in the crew's room, now and from now on: their own chat is closed to us."""
        people = self.dispatcher.store.people
        for seat in await people.seats():
            if (seat.cook, seat.network, seat.room) == (cook.id, room.network, room.room):
                await people.seat(replace(seat, room=""))
        directory = self.dispatcher.directory
        if isinstance(directory, Accounts):
            await directory.refresh()
        voice = Voice(directory, cook.id, cook.cards, self.dispatcher.clock.now())
        calls = [t for t in troubles if t.message.tag and t.message.tag.kind == "call"]
        await self._queue(
            cook,
            [
                NewSend(f"{call.key}:room{n}", at.network, at.room,
                        replace(call.message, mention=voice.mentions((person,), at.network)),
                        URGENT, must=True)
                for call in calls
                for n, at in enumerate(directory.crew_rooms(cook.id))
            ],
        )  # fmt: skip

    def _whose(
        self, cooks: Mapping[str, Cook], room: Address, trouble: Trouble
    ) -> tuple[Cook, str | None] | None:
        """Return the cook a room belongs to, and the person if it is theirs alone."""
        named = cooks.get((*trouble.key.split(":"), "")[1])
        directory = self.dispatcher.directory
        for cook in (*filter(None, (named,)), *reversed(list(cooks.values()))):
            people = [p.id for p in cook.cards.crew] if cook.cards else []
            for person in (*people, CLIENT):
                if room in directory.privates(cook.id, person):
                    return cook, person
            if room in directory.crew_rooms(cook.id):
                return cook, None
        LOG.error("a closed room of nobody's", extra={"network": room.network})
        return None

    async def _pass_on(self, cooks: Mapping[str, Cook], notice: Trouble) -> None:
        """Take the next way for a notice that did not arrive; with the last way it ends."""
        LOG.error("notice not delivered", extra={"key": notice.key, "why": notice.why})
        _, number, cook_id, about = notice.key.split(":", 3)
        cook = cooks.get(cook_id)
        if cook is None:
            return
        failed = Address(notice.network, notice.room)
        for later, way in enumerate(self.ways(cook)[int(number) + 1 :], int(number) + 1):
            if way.at != failed:
                key = f"{TOLD}:{later}:{cook_id}:{about}"
                await self._queue(cook, (_send(key, way.at, notice.message),))
                return

    # -------------------------------------------------------------- a platform that is down

    async def down(self, network: str, since: datetime) -> None:
        """Tell the leads who are reached elsewhere that a network takes nothing."""
        lines = (
            say("{network} takes nothing since {clock}. What I owe there waits.",
                network=Label(network), clock=Clock(since)),
            say("Who is only there hears nothing from me: call them yourself."),
        )  # fmt: skip
        await self._tell_all(f"down:{network}:{since.isoformat()}", network, lines)

    async def back(self, network: str, since: datetime) -> None:
        """Tell the same people that it works again."""
        lines = (say("{network} works again. What waited goes out now.", network=Label(network)),)
        await self._tell_all(f"back:{network}:{since.isoformat()}", network, lines)

    async def _tell_all(self, about: str, network: str, lines: Sequence[Line]) -> None:
        for cook in await self.dispatcher.open_cooks():
            rooms = {way.at.network for way in self.ways(cook)}
            if network in rooms:  # else this cook has nobody there
                await self._queue(cook, self.notice(cook, about, lines, network=network))


def given_up_lines(who: Label | str, troubles: Sequence[Trouble]) -> tuple[Line, ...]:
    """Return what the lead reads: who did not get what, and what to do about it.

    Examples
    --------
    >>> bo = Trouble("k", "n", "r", Outgoing(("12:10 flip A",)), "blocked", closed=True)
    >>> [line.text for line in given_up_lines(Label("Bo"), [bo])]  # doctest: +ELLIPSIS
    ['Not delivered to {who}:', '{text}', 'That chat is closed to me. Tell them...']
    """
    last = troubles[-1]
    if len(troubles) > 1:
        first = say("Not delivered to {who}: {n} messages. The last:", who=who, n=len(troubles))
    elif last.unsure:
        first = say("Perhaps not delivered to {who}:", who=who)
    else:
        first = say("Not delivered to {who}:", who=who)
    shown = [Line("{text}", {"text": Label(text)}) for text in last.message.lines[:MOST_SHOWN]]
    if last.closed:
        return (
            first,
            *shown,
            say("That chat is closed to me. Tell them, and let them write to me."),
        )
    return (first, *shown, say("Tell them yourself."))


def _send(key: str, at: Address, message: Outgoing) -> NewSend:
    priority = ANSWER if message.sound is Sound.SILENT else URGENT
    return NewSend(key, at.network, at.room, message, priority, must=True)


def _where(trouble: Trouble) -> tuple[str, str]:
    return trouble.network, trouble.room


def _leading(cook: Cook) -> Iterator[Person]:
    """Yield who leads the fires, then the chef."""
    if cook.cards is not None:
        yield from filter(None, (cook.cards.leading(Lead.PIT), cook.cards.chef))


def _who(cook: Cook, person: str | None) -> Label | str:
    if person is None:
        return "the crew's room"
    if person == CLIENT:
        return "the client"
    someone = cook.cards.person(person) if cook.cards else None
    return Label(someone.name if someone else person)
