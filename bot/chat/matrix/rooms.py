"""Invitations, rooms that moved, who is alone with us, and who may what in a room."""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Mapping
from datetime import datetime
from typing import Any
from urllib.parse import quote

from bot.chat.matrix.account import Account, Purse
from bot.chat.matrix.answers import RefusedError, UnreachableError, answered, raw
from bot.chat.matrix.heard import NETWORK, Scene, part_of
from bot.ports import Clock, Happened, Incoming

LOG = logging.getLogger("pitcrier.matrix")

CREATOR = 1_000_000
"""What `powers` gives the creators of a room of version 12 or later: more than any number there."""

FIRST_VERSION_WITH_CREATORS = 12
AGAIN_S = 60.0


class Rooms:
    """The rooms of one account, as far as the last look goes."""

    def __init__(self, client: Any, account: Account, purse: Purse, clock: Clock) -> None:
        self._client, self._account = client, account
        self._purse, self._clock = purse, clock
        self._direct: dict[str, list[str]] = {}
        self._tried: dict[str, float] = {}
        self.moved: dict[str, str] = {}

    async def read_direct(self) -> None:
        """Read which rooms were made to talk to one person."""
        try:
            answer = await answered(self._client.list_direct_rooms())
        except RefusedError as refused:
            if refused.code != "M_NOT_FOUND":
                raise
            return
        self._direct = {u: list(r) for u, r in answer.rooms.items() if isinstance(r, list)}

    def scene(self, room_id: str) -> Scene:
        """Return what has to be known of a room to read its events."""
        room = self._client.rooms.get(room_id)
        if room is None:
            return Scene(room_id, self._client.user_id, False, False, {})
        names = {user: room.user_name(user) or "" for user in room.users}
        return Scene(room_id, self._client.user_id, room.encrypted, self.is_private(room), names)

    def is_private(self, room: Any) -> bool:
        """Say whether a room has only one person and us: made for that, or without a name."""
        direct = any(room.room_id in rooms for rooms in self._direct.values())
        return len(room.users) == 2 and (direct or not room.is_named)

    # ------------------------------------------------------------ invitations

    async def answer_invitations(self) -> None:
        """Join where somebody we know asks us to; decline all others, with the reason.

        Declining costs an event like any message, so strangers wait while there are few left:
        nobody can invite the crew's calls to a standstill.
        """
        for room_id, room in list(self._client.invited_rooms.items()):
            inviter = room.inviter or ""
            expected = room_id in self.moved.values() or self._is_replacement(room_id)
            if not (expected or self._may_invite(inviter)):
                if not self._purse.wait_s(1, self._clock.now(), rings=False):
                    await self._decline(room_id)
            elif self._may_try(f"join {room_id}") and await self._join(room_id, inviter):
                del self._tried[f"join {room_id}"]  # put out and asked again, we come at once

    def _may_invite(self, who: str) -> bool:
        """Say whether somebody is known to us, or sits with us in a crew's room."""
        rooms = self._client.rooms.items()
        return self._account.may_invite(who) or any(
            who in room.users and not room.users[who].invited and self._account.is_crews(room_id)
            for room_id, room in rooms
        )

    def _may_try(self, what: str) -> bool:
        now = asyncio.get_running_loop().time()
        if now - self._tried.get(what, -AGAIN_S) < AGAIN_S:
            return False
        self._tried[what] = now
        return True

    async def _decline(self, room_id: str) -> None:
        LOG.info("invitation declined", extra={"room": room_id})
        path = f"rooms/{quote(room_id, safe='')}/leave"
        try:
            await raw(self._client, "POST", path, {"reason": self._account.declined})
        except RefusedError as refused:
            if refused.is_about_the_token or refused.wait_s is not None:
                raise
        self._client.invited_rooms.pop(room_id, None)

    async def _join(self, room_id: str, asked_by: str) -> bool:
        """Join a room; say whether it worked. The server of who asked us is where to ask."""
        server = asked_by.partition(":")[2]
        self._purse.spend(self._clock.now())
        via = f"?via={quote(server)}&server_name={quote(server)}" if server else ""
        try:
            await raw(self._client, "POST", f"join/{quote(room_id, safe='')}{via}", {})
        except (RefusedError, UnreachableError) as wrong:
            if isinstance(wrong, RefusedError) and wrong.is_about_the_token:
                raise
            LOG.warning("cannot join", extra={"room": room_id, "why": str(wrong)})
            return False
        return True

    async def note_direct(self, invites: Mapping[str, Any]) -> None:
        """Keep which invitations were to talk to one person: later a room no longer says so."""
        for room_id, info in invites.items():
            for event in info.invite_state:
                content = getattr(event, "content", None) or {}
                ours = getattr(event, "state_key", "") == self._client.user_id
                if ours and content.get("is_direct") is True:
                    self._direct.setdefault(event.sender, []).append(room_id)
                    user = quote(self._client.user_id, safe="")
                    path = f"user/{user}/account_data/m.direct"
                    await raw(self._client, "PUT", path, self._direct)

    # ------------------------------------------------------------ moves

    def _is_replacement(self, room_id: str) -> bool:
        return any(r.replacement_room == room_id for r in self._client.rooms.values())

    async def follow_moves(self, now: datetime) -> list[Incoming]:
        """Join the rooms that replace ours; return the moves that are now done."""
        done: list[Incoming] = []
        for old, room in list(self._client.rooms.items()):
            new = room.replacement_room
            if not new or old in self.moved:
                continue
            joined = new in self._client.rooms
            if not joined and self._may_try(f"follow {old}"):
                joined = await self._join(new, self._client.user_id)
            if joined:
                self.moved[old] = new
                done.append(_moved(old, new, now))
        return done

    def where(self, room_id: str) -> str | None:
        """Return where a room is now, if it moved."""
        return self.moved.get(room_id)

    # ------------------------------------------------------------ powers

    async def powers(self, room_id: str) -> dict[str, int]:
        """Return the power level of everybody who is named one, creators above all others.

        From room version 12 on the creators stand in the creation event and not among the levels;
        before, a room without levels gives its creator 100.
        """
        create = await self._state_event(room_id, "m.room.create")
        levels = await self._state_event(room_id, "m.room.power_levels")
        users = part_of(levels.get("content", {}), "users")
        named = {u: p for u, p in users.items() if isinstance(p, int)}
        content, creator = part_of(create, "content"), str(create.get("sender", ""))
        version = str(content.get("room_version", "1"))
        if version.isdigit() and int(version) >= FIRST_VERSION_WITH_CREATORS:
            more = content.get("additional_creators")
            creators = [creator, *(more if isinstance(more, list) else ())]
            return named | {str(user): CREATOR for user in creators}
        return named if levels else {creator: 100}

    async def _state_event(self, room_id: str, kind: str) -> Mapping[str, Any]:
        path = f"rooms/{quote(room_id, safe='')}/state"
        events = await raw(self._client, "GET", path)
        return next((e for e in events if e.get("type") == kind and not e.get("state_key")), {})


def _moved(old: str, new: str, now: datetime) -> Incoming:
    return Incoming(NETWORK, f"moved:{old}", old, "", new, now, happened=Happened.MOVED)
