"""Who comes and goes, and what else a platform tells us of people that they did not say."""

from __future__ import annotations

from dataclasses import dataclass, replace

from bot.accounts import Accounts
from bot.naming import names_of
from bot.ports import CrewRoom, Happened, Incoming, PeopleStore
from core.cook import Cook, Decision, Notice
from core.model import Answer, Label, Lead, Line, Person, Role, Sound, say


@dataclass(frozen=True, slots=True)
class Comings:
    """Keeps rooms and chats as they are, and tells who leads what the crew must know of it."""

    people: PeopleStore
    accounts: Accounts

    async def seen(self, message: Incoming, cook: Cook) -> Decision:
        """Return what follows from something that happened."""
        match message.happened:
            case Happened.REMOVED if message.private:
                return await self._chat_closed(message, cook)
            case Happened.REMOVED:
                return await self._put_out(message, cook)
            case Happened.MOVED:
                return await self._moved(message)
            case Happened.LEFT:
                return self._left(message, cook)
            case Happened.EDITED:
                return self._edited(message, cook)
            case Happened.UNREADABLE:
                return _answer(say("I could not read that. Please send it again."))
            case Happened.NEW_DEVICE:
                return self._new_device(message, cook)
            case _:
                return Decision()

    async def _put_out(self, message: Incoming, cook: Cook) -> Decision:
        for room in self.accounts.rooms_beside(message):
            await self.people.leave_room(room.network, room.room)
        await self.accounts.refresh()
        return _to_lead(message, cook, say("I was put out of the crew's room."))

    async def _moved(self, message: Incoming) -> Decision:
        room = self.accounts.room_of(message)
        if room is not None:
            await self.people.leave_room(message.network, message.room)
            await self.people.open_room(CrewRoom(room.network, message.text, room.cook))
            await self.accounts.refresh()
        return Decision()

    def _left(self, message: Incoming, cook: Cook) -> Decision:
        seat = self.accounts.seat_of(message, cook.id)
        if seat is None:
            return Decision()
        name = _called(cook, seat.person)
        left = say("{name} left the crew's room.", name=name)
        if self.accounts.private(cook.id, seat.person) is None:
            left = say("{name} left the crew's room and has no chat with me: call them.", name=name)
        return _to_lead(message, cook, left)

    async def _chat_closed(self, message: Incoming, cook: Cook) -> Decision:
        """Ring somebody in the crew's room from now on: their own chat takes nothing any more."""
        seat = self.accounts.seat_of(message, cook.id)
        for mine in self.accounts.seats_of(message):
            if mine.room == message.room:
                await self.people.seat(replace(mine, room=""))
        await self.accounts.refresh()
        if seat is None:
            return Decision()
        name = _called(cook, seat.person)
        line = say("{name} closed their chat with me. Their calls ring in the crew's room.",
                   name=name)  # fmt: skip
        if not self.accounts.crew_rooms(cook.id):
            line = say("{name} closed their chat with me: call them yourself.", name=name)
        return _to_lead(message, cook, line, but=seat.person)

    def _edited(self, message: Incoming, cook: Cook) -> Decision:
        """Say that an edit is not heard, where the words it changes were meant for us."""
        for_us = message.private or message.text.startswith("/")
        if not for_us or self.accounts.seat_of(message, cook.id) is None:
            return Decision()
        return _answer(say("An edit changes nothing I booked. Say it again, or 'undo' first."))

    def _new_device(self, message: Incoming, cook: Cook) -> Decision:
        """Warn the chef when a lead speaks from a device not seen before; crew are trusted."""
        seat = self.accounts.seat_of(message, cook.id)
        person = cook.cards.person(seat.person) if seat and cook.cards else None
        if person is None or not needs_code(person):
            return Decision()
        line = say("{name} speaks from a new device. Ask them if it is theirs.",
                   name=Label(person.name))  # fmt: skip
        return _to_lead(message, cook, line)


def _answer(line: Line) -> Decision:
    return Decision(answer=Answer((line,)))


def _to_lead(message: Incoming, cook: Cook, line: Line, but: str = "") -> Decision:
    """Tell the chef; of the chef's own doings whoever leads the fires."""
    cards = cook.cards
    leads = [cards.chef, cards.leading(Lead.PIT), *cards.crew] if cards else []
    lead = next((p for p in leads if p and needs_code(p) and p.id != but), None)
    if lead is None:
        return Decision()
    notice = Notice(f"door/{message.ext_id}", (lead.id,), (line,), Sound.ONCE)
    return Decision(notices=(notice,))


def _called(cook: Cook, person: str) -> Label:
    return Label(names_of(cook.cards).get(person, person) if cook.cards else person)


def needs_code(person: Person) -> bool:
    """Say whether nobody may become this person by saying so: the chef and the leads."""
    return person.role is Role.CHEF or bool(person.leads)
