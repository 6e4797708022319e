"""Who may invite us, who comes and goes, rooms that move, and who may what there."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.chat.matrix.answers import answered, raw
from bot.chat.matrix.rooms import CREATOR
from bot.ports import Gone, Happened, Migrated, Outgoing, Sent
from tests.bot.matrix.crew import ENCRYPTED, Bot, Phone, account_of, bot_of, room_of, started
from tests.synapse import Synapse


async def test_only_somebody_we_know_can_invite_us_and_others_hear_why(
    synapse: Synapse, lucia: Phone, ben: Phone, tmp_path: Path
) -> None:
    user = synapse.person("pitcrier")
    account = account_of(synapse, user, tmp_path / "m", may_invite=lambda who: who == lucia.user)
    async with started(bot_of(account)) as bot:
        strange = await ben.make_room(user)
        known = await lucia.make_room(user)
        await bot.hears(happened=Happened.ADDED)
        left = await ben.sees(
            lambda e: (
                e.source.get("state_key") == user and e.source["content"]["membership"] == "leave"
            )
        )
        assert "Ask the lead" in left.source["content"]["reason"]
        assert [m.room for m in bot.heard] == [known]
        assert isinstance(await bot.matrix.send(strange, Outgoing(("x",)), "n:1"), Gone)


async def test_whoever_sits_in_a_crews_room_may_invite_us_before_they_said_who_they_are(
    synapse: Synapse, lucia: Phone, ben: Phone, tmp_path: Path
) -> None:
    user = synapse.person("pitcrier")
    crews: set[str] = set()
    account = account_of(
        synapse, user, tmp_path / "m", may_invite=lambda who: who == lucia.user,
        is_crews=crews.__contains__,
    )  # fmt: skip
    async with started(bot_of(account)) as bot:
        room = await room_of(bot, lucia, ben)
        left = await ben.make_room(user, direct=True)
        await ben.sees(
            lambda e: (
                e.source.get("state_key") == user and e.source["content"]["membership"] == "leave"
            )
        )
        crews.add(room)
        alone = await ben.make_room(user, direct=True)
        await bot.comes_into(alone)
        await bot.matrix.stop()  # the look that brought us in is over
        assert {m.room for m in bot.heard if m.happened is Happened.ADDED} <= {room, alone}
        assert left not in {m.room for m in bot.heard}


async def test_who_comes_and_goes_is_told(bot: Bot, lucia: Phone, ben: Phone) -> None:
    room = await room_of(bot, lucia)
    await answered(lucia.client.room_invite(room, ben.user))
    await ben.join(room)
    assert (await bot.hears(happened=Happened.JOINED)).who == ben.user
    await answered(ben.client.room_leave(room))
    assert (await bot.hears(happened=Happened.LEFT)).who == ben.user


async def test_put_out_of_the_room_we_say_by_whom_and_that_it_is_closed(
    bot: Bot, lucia: Phone, room: str
) -> None:
    await answered(lucia.client.room_kick(room, bot.matrix.account.user, "too loud"))
    removed = await bot.hears(happened=Happened.REMOVED)
    assert (removed.room, removed.who) == (room, lucia.user)
    assert isinstance(await bot.matrix.send(room, Outgoing(("x",)), "n:1"), Gone)


async def test_let_in_again_we_speak_again_and_do_not_hear_what_was_said_meanwhile(
    bot: Bot, lucia: Phone, ben: Phone, room: str
) -> None:
    user = bot.matrix.account.user
    await answered(lucia.client.room_kick(room, user))
    await bot.hears(happened=Happened.REMOVED)
    await ben.look()
    await ben.say(room, "b1 off 54")
    await answered(lucia.client.room_invite(room, user))
    await bot.comes_into(room)
    assert isinstance(await bot.matrix.send(room, Outgoing(("Back.",)), "n:1"), Sent)
    await ben.reads("Back.")
    await ben.waits_for(room, user)
    await ben.say(room, "b2 on")
    await bot.hears("b2 on")
    assert bot.texts() == ["b2 on"]


@pytest.mark.parametrize("invited", [False, True])
async def test_a_room_that_was_upgraded_is_followed_and_the_old_one_points_to_it(
    bot: Bot, lucia: Phone, invited: bool
) -> None:
    us = bot.matrix.account.user
    body = {
        "room_version": "11",
        "preset": "private_chat" if invited else "public_chat",
        "invite": [us],
        "initial_state": [{**ENCRYPTED, "state_key": ""}],
    }
    room = (await raw(lucia.client, "POST", "createRoom", body))["room_id"]
    await bot.comes_into(room)
    upgrade = await raw(lucia.client, "POST", f"rooms/{room}/upgrade", {"new_version": "12"})
    new = upgrade["replacement_room"]
    if invited:  # a closed room lets nobody follow unasked
        await answered(lucia.client.room_invite(new, us))
    moved = await bot.hears(happened=Happened.MOVED)
    assert (moved.room, moved.text) == (room, new)
    assert await bot.matrix.send(room, Outgoing(("x",)), "n:1") == Migrated(new)
    await bot.comes_into(new)
    assert isinstance(await bot.matrix.send(new, Outgoing(("Here too.",)), "n:1"), Sent)
    await lucia.reads("Here too.")


async def test_creators_stand_above_all_in_new_rooms_and_have_their_number_in_old_ones(
    bot: Bot, lucia: Phone, ben: Phone
) -> None:
    us, powers = bot.matrix.account.user, {}
    for version in ("12", "11"):
        more = {"additional_creators": [ben.user]} if version == "12" else {}
        body = {
            "room_version": version,
            "preset": "private_chat",
            "invite": [us],
            "creation_content": more,
            "power_level_content_override": {"users": {us: 50}},
        }
        if version == "11":
            body["power_level_content_override"] = {"users": {us: 50, lucia.user: 100}}
        room = (await raw(lucia.client, "POST", "createRoom", body))["room_id"]
        await bot.comes_into(room)
        powers[version] = await bot.matrix.powers(room)
    assert powers["12"] == {us: 50, lucia.user: CREATOR, ben.user: CREATOR}
    assert powers["11"] == {us: 50, lucia.user: 100}


async def test_when_the_only_other_one_has_left_the_room_is_closed(bot: Bot, lucia: Phone) -> None:
    room = await lucia.make_room(bot.matrix.account.user, direct=True)
    await bot.hears(happened=Happened.ADDED)
    await answered(lucia.client.room_leave(room))
    await bot.hears(happened=Happened.LEFT)
    assert isinstance(await bot.matrix.send(room, Outgoing(("x",)), "n:1"), Gone)
