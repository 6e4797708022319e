"""Who speaks to the kitchen, and whether they may: who owns the house, a chef, or a lead."""

from __future__ import annotations

from datetime import UTC

from bot.accounts import HOUSE, Accounts
from bot.directory import Directory
from bot.dispatch import Dispatcher
from bot.kitchen.talk import Host
from bot.ports import Incoming
from bot.replies import Voice
from core.cook import Cook
from core.model import Role
from core.words import language_of

CURRENCY = "EUR"
"""Where no event says which: the default of an event's card."""


async def host_of(message: Incoming, directory: Directory, dispatcher: Dispatcher) -> Host | None:
    """Return who speaks, if the kitchen is theirs to use: owner, chef or lead; else None."""
    cook_id = directory.cook(message) or ""
    cook = await dispatcher.cook(cook_id) if cook_id else Cook()
    person = directory.person(message, cook.cards)
    member = cook.cards.person(person) if cook.cards and person else None
    house = _house_seat(message, directory)
    if house is None and (member is None or not (member.role is Role.CHEF or member.leads)):
        return None
    voice = Voice(directory, cook_id, cook.cards)
    spoken = language_of(message.text)
    lang = spoken if member is None and spoken in {"en", "es"} else voice.language(person)
    zone = cook.cards.event.zone if cook.cards else UTC
    currency = cook.cards.event.currency if cook.cards else CURRENCY
    return Host(house or person or "", lang, zone, currency, cook, owner=house is not None)


def _house_seat(message: Incoming, directory: Directory) -> str | None:
    """Return the person of the house an account sits as; the same before and during cooks."""
    if not isinstance(directory, Accounts):
        return None
    seat = directory.seat_of(message, HOUSE)
    return seat.person if seat else None
