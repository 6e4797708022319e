"""What is said in an encrypted room is heard, and what we say is read, on a real homeserver."""

from __future__ import annotations

from bot.ports import Happened, Mention, Outgoing, Sent
from core.model import Sound
from tests.bot.matrix.crew import Bot, Phone


async def test_a_word_in_an_encrypted_room_is_heard_and_answered(
    bot: Bot, lucia: Phone, ben: Phone, room: str
) -> None:
    event_id = await lucia.say(room, "b2 on")
    heard = await bot.hears("b2 on")
    assert (heard.ext_id, heard.room, heard.who) == (event_id, room, lucia.user)
    receipt = await bot.matrix.send(room, Outgoing(("b2 on 12:00.",), reply_to=event_id), "r:1:0")
    assert isinstance(receipt, Sent)
    for person in (lucia, ben):
        event = await person.reads("b2 on 12:00.")
        assert event.decrypted
        assert event.event_id == receipt.id


async def test_a_room_of_the_crew_is_not_private_and_one_with_a_single_person_is(
    bot: Bot, lucia: Phone, room: str
) -> None:
    alone = await lucia.make_room(bot.matrix.account.user, direct=True)
    await bot.comes_into(alone)
    await lucia.waits_for(alone, bot.matrix.account.user)
    await lucia.say(alone, "next")
    await lucia.say(room, "status")
    assert (await bot.hears("next")).private
    assert not (await bot.hears("status")).private


async def test_a_ringing_line_is_a_text_with_the_name_and_a_silent_one_a_notice(
    bot: Bot, ben: Phone, room: str
) -> None:
    rings = Outgoing(("pull b2 now",), sound=Sound.ONCE, mention=(Mention(ben.user, "Ben"),))
    await bot.matrix.send(room, rings, "c:1")
    await bot.matrix.send(room, Outgoing(("Ben: pull b2, copy",)), "c:1:room0")
    call = (await ben.reads("pull b2 now")).source["content"]
    assert call["msgtype"] == "m.text"
    assert call["m.mentions"] == {"user_ids": [ben.user]}
    assert call["body"] == "Ben: pull b2 now"
    copy = (await ben.reads("copy")).source["content"]
    assert copy["msgtype"] == "m.notice"
    assert copy["m.mentions"] == {}


async def test_being_let_in_is_told_with_the_name_of_who_did_it(bot: Bot, lucia: Phone) -> None:
    room = await lucia.make_room(bot.matrix.account.user)
    added = await bot.hears(happened=Happened.ADDED)
    assert (added.room, added.who) == (room, lucia.user)
