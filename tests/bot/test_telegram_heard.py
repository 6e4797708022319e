"""What Telegram tells us, as what was heard."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest

from bot.ports import FetchError, Happened, Outgoing, Sent
from tests.bot.telegram_line import NOON, Line, connected, until
from tests.doubles.bot_api import Fault
from tests.published import published


@pytest.fixture
async def line() -> AsyncIterator[Line]:
    async with connected() as made:
        yield made


async def test_a_private_message_has_its_room_its_sender_and_its_own_time(line: Line) -> None:
    post = line.bo.say("A 38")
    (heard,) = await line.hears()
    assert (heard.network, heard.room, heard.who, heard.name) == ("telegram", "1002", "1002", "Bo")
    assert (heard.text, heard.sent, heard.private) == ("A 38", NOON, True)
    assert heard.ext_id == f"811000:1002:{post.id}"
    assert heard.happened is Happened.SAID


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("/temp@pit_bot A 38", "/temp A 38"),
        ("/status@PIT_BOT", "/status"),
        ("/temp A 38", "/temp A 38"),
        ("@pit_bot A 38", "A 38"),
        ("/start Ab_9-x", "/start Ab_9-x"),
    ],
)
async def test_a_command_is_read_without_our_name(line: Line, typed: str, read: str) -> None:
    line.bo.say(typed, line.group)
    (heard,) = await line.hears()
    assert (heard.text, heard.room, heard.private) == (read, "-1001", False)


async def test_a_command_for_another_bot_is_not_ours(line: Line) -> None:
    line.group.bot_status = "administrator"
    line.bo.say("/temp@other_bot 47", line.group)
    line.bo.say("/status", line.group)
    (heard,) = await line.hears()
    assert heard.text == "/status"


async def test_a_topic_of_a_forum_is_a_room_of_its_own(line: Line) -> None:
    line.bo.say("/status", line.group, topic=7)
    (heard,) = await line.hears()
    assert heard.room == "-1001/7"


async def test_an_answer_names_the_message_it_answers(line: Line) -> None:
    first = line.bo.say("/status", line.group)
    line.bo.say("/done", line.group, reply_to=first)
    heard = await line.hears(2)
    assert heard[1].reply_to == f"-1001:{first.id}"


async def test_a_newer_text_is_an_edit_of_the_old_message(line: Line) -> None:
    post = line.bo.say("A 38")
    line.bo.edit(post, "A 48")
    heard = (await line.hears(2))[1]
    assert (heard.happened, heard.text, heard.reply_to) == (
        Happened.EDITED,
        "A 48",
        f"1002:{post.id}",
    )


async def test_a_tap_is_a_choice_of_the_message_it_stands_under(line: Line) -> None:

    receipt = await line.chat.send("1002", Outgoing(("Apply?",), ("apply", "leave it")), "k")
    assert isinstance(receipt, Sent)
    line.bo.tap(line.bo.newest(), 2)
    (heard,) = await line.hears()
    assert (heard.choice, heard.reply_to, heard.text) == ("2", receipt.id, "[2]")


async def test_a_tap_is_answered_at_once_and_counts_once_in_a_private_chat(line: Line) -> None:

    await line.chat.send("1002", Outgoing(("Apply?",), ("apply",)), "k")
    post = line.bo.newest()
    query = line.bo.tap(post, 1)
    await line.hears()
    await until(lambda: line.api.methods.answered == [(query, "")])
    await until(lambda: post.buttons == [])


async def test_buttons_in_a_group_stay_until_an_edit_for_whoever_is_asked(line: Line) -> None:

    await line.chat.send("-1001", Outgoing(("Apply?",), ("apply",)), "k")
    post = line.bo.newest(line.group)
    line.bo.tap(post, 1)
    await line.hears()
    await line.asked_for("answerCallbackQuery")
    line.bo.say("/status", line.group)
    await line.hears(2)
    assert post.buttons
    assert line.api.calls("editMessageReplyMarkup") == []


async def test_a_button_of_another_age_is_told_so_politely(line: Line) -> None:

    line.bo.user.lang = "es"
    await line.chat.send("1002", Outgoing(("Apply?",), ("apply",)), "k")
    query = line.bo.press(line.bo.newest(), "v0|apply")
    line.listen()
    words = "Ese botón es de un mensaje viejo. Di 'qué toca'."
    await until(lambda: line.api.methods.answered == [(query, words)])
    assert line.heard == []


async def test_a_thumb_is_a_thumb_whatever_its_skin(line: Line) -> None:
    line.listen()
    await line.asked_for("getUpdates")  # reactions are queued only after they were asked for
    post = line.bo.say("A 38")
    line.bo.react(post, "\U0001f44d\U0001f3fd")
    line.bo.react(post, "❤️", before=("\U0001f44d\U0001f3fd",))
    heard = (await line.hears(4))[1:]
    assert [(h.happened, h.text, h.reply_to) for h in heard] == [
        (Happened.REACTED, "\U0001f44d", f"1002:{post.id}"),
        (Happened.UNREACTED, "\U0001f44d", f"1002:{post.id}"),
        (Happened.REACTED, "❤", f"1002:{post.id}"),
    ]
    assert len({h.ext_id for h in heard}) == 3


async def test_we_hear_of_being_let_in_and_put_out(line: Line) -> None:
    ana = line.api.phone(1001, "Ana")
    line.api.bot_is(line.group, "left", ana.user)
    line.api.bot_is(line.group, "administrator", ana.user)
    line.api.bot_is(line.group, "member", ana.user)
    line.api.block(line.bo.user)
    heard = await line.hears(3)
    assert [(h.happened, h.room, h.private) for h in heard] == [
        (Happened.REMOVED, "-1001", False),
        (Happened.ADDED, "-1001", False),
        (Happened.REMOVED, "1002", True),
    ]


async def test_we_hear_who_comes_and_who_leaves(line: Line) -> None:
    ana = line.api.phone(1001, "Ana")
    line.api.member(line.group, ana.user, comes=True)
    line.api.member(line.group, ana.user, comes=False)
    heard = await line.hears(2)
    assert [(h.happened, h.who, h.name) for h in heard] == [
        (Happened.JOINED, "1001", "Ana"),
        (Happened.LEFT, "1001", "Ana"),
    ]


async def test_a_group_that_became_a_supergroup_has_moved(line: Line) -> None:
    old = line.api.group(-55, line.bo, kind="group")
    line.api.migrate(old, -100155)
    (heard,) = await line.hears()
    assert (heard.happened, heard.room, heard.text) == (Happened.MOVED, "-55", "-100155")


async def test_what_is_asked_for_includes_reactions_and_members(line: Line) -> None:
    line.listen()
    await line.asked_for("getUpdates")
    asked = line.api.calls("getUpdates")[0]["allowed_updates"]
    for kind in ("message_reaction", "chat_member", "my_chat_member", "callback_query"):
        assert f'"{kind}"' in asked


# ------------------------------------------------------------------ files


async def test_a_photo_comes_with_its_words_and_can_be_fetched(line: Line) -> None:
    line.bo.photo(b"jpeg bytes", "label of tub 3")
    (heard,) = await line.hears()
    (photo,) = heard.attached
    assert (heard.text, photo.kind, photo.size) == ("label of tub 3", "image/jpeg", 10)
    assert await line.chat.fetch(photo.ref) == b"jpeg bytes"


async def test_a_card_sent_as_a_file_keeps_its_name(line: Line) -> None:
    line.bo.document("kit.toml", b"[[station]]\n")
    (heard,) = await line.hears()
    assert [(a.name, a.size) for a in heard.attached] == [("kit.toml", 12)]
    assert await line.chat.fetch(heard.attached[0].ref) == b"[[station]]\n"


@published("Telegram Bot API, getFile: bots can download files of up to 20 MB")
async def test_a_file_over_the_limit_is_refused_in_words(line: Line) -> None:
    ref = line.api.world.keep("big.bin", b"x" * 20_000_001)
    with pytest.raises(FetchError, match="20 MB"):
        await line.chat.fetch(ref)


async def test_a_file_that_is_gone_or_out_of_reach_says_so(line: Line) -> None:
    with pytest.raises(FetchError, match="no longer"):
        await line.chat.fetch("nothing")
    line.api.fault("getFile", Fault.CUT_BEFORE)
    with pytest.raises(FetchError, match="does not answer"):
        await line.chat.fetch("nothing")
