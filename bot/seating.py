"""People and rooms of earlier cooks, heard again in a new one without joining again."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from bot.accounts import HOUSE
from bot.ports import CrewRoom, PeopleStore, Seat


async def carried_over(
    people: PeopleStore, cook: str, names: Mapping[str, str], running: Collection[str]
) -> None:
    """Seat people of earlier cooks in a new one, and let it have the rooms of closed ones.

    A person is the same where both id and name are: another event's 'ana' may be somebody else. An
    account that was two of them is nobody's, and joins by a code. A room comes along when its own
    cook is over and somebody of the new crew was on it.
    """
    seats = [s for s in await people.seats() if s.cook not in {cook, HOUSE}]
    known = {of: await people.names(of) for of in {s.cook for s in seats}}
    same = [s for s in seats if s.person in names and known[s.cook].get(s.person) is not None
            and known[s.cook][s.person] == names[s.person]]  # fmt: skip
    for network, who in dict.fromkeys((s.network, s.who) for s in same):
        mine = [s for s in same if (s.network, s.who) == (network, who)]
        if len({s.person for s in mine}) == 1:
            room = next((s.room for s in reversed(mine) if s.room), None)
            await people.seat(Seat(cook, mine[0].person, network, who, room))
    over = {s.cook for s in same} - set(running)
    for room_ in await people.rooms():
        if room_.cook in over:
            await people.open_room(CrewRoom(room_.network, room_.room, cook))
