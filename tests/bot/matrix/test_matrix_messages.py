"""Replies, threads, edits, taps, pins, pictures and files, as a client of the crew gets them.

One room serves all of them, so every text and every key is its own.
"""

from __future__ import annotations

import io
from collections.abc import AsyncIterator
from itertools import count

import pytest
import pytest_asyncio
from PIL import Image

from bot.chat.matrix.answers import answered
from bot.ports import FetchError, Happened, Medium, Outgoing, Rejected, Sent
from core.model import Sound
from tests.bot.matrix.crew import Bot, Phone, account_of, bot_of, phone, room_of, started
from tests.synapse import Synapse

pytestmark = pytest.mark.asyncio(loop_scope="module")

KEYS = (f"r:{n}:0" for n in count())
MENU = Medium("menu.pdf", "application/pdf", b"%PDF-1.7 lamb, pork", "The menu")


def drawn(name: str, width: int) -> Medium:
    paper = io.BytesIO()
    Image.new("1", (width, 40)).save(paper, "PNG")
    return Medium(name, "image/png", paper.getvalue(), "Plan A: light P1 at 12:00")


@pytest_asyncio.fixture(scope="module", loop_scope="module", name="lucia")
async def lucia_all_day(synapse: Synapse) -> AsyncIterator[Phone]:
    async with phone(synapse, synapse.person("lucia")) as her:
        yield her


@pytest_asyncio.fixture(scope="module", loop_scope="module", name="ben")
async def ben_all_day(synapse: Synapse) -> AsyncIterator[Phone]:
    async with phone(synapse, synapse.person("ben")) as him:
        yield him


@pytest_asyncio.fixture(scope="module", loop_scope="module", name="bot")
async def bot_all_day(
    synapse: Synapse, tmp_path_factory: pytest.TempPathFactory
) -> AsyncIterator[Bot]:
    folder = tmp_path_factory.mktemp("matrix")
    account = account_of(synapse, synapse.person("pitcrier"), folder, largest_file=3000)
    async with started(bot_of(account, MENU, drawn("plan-A.png", 60))) as made:
        yield made


@pytest_asyncio.fixture(scope="module", loop_scope="module", name="room")
async def one_room(lucia: Phone, ben: Phone, bot: Bot) -> str:
    return await room_of(bot, lucia, ben)


async def sent(bot: Bot, room: str, message: Outgoing) -> Sent:
    receipt = await bot.matrix.send(room, message, next(KEYS))
    assert isinstance(receipt, Sent), receipt
    return receipt


async def test_an_answer_to_our_message_says_which_and_loses_the_quoted_lines(
    bot: Bot, ben: Phone, room: str
) -> None:
    asked = await sent(bot, room, Outgoing(("Which load?",), ("A", "B")))
    await ben.reads("1 A · 2 B")
    quoted = f"> <{bot.matrix.account.user}> Which load?\n> 1 A\n\n2"
    await ben.say(room, quoted, **{"m.relates_to": {"m.in_reply_to": {"event_id": asked.id}}})
    heard = await bot.hears("2")
    assert (heard.text, heard.reply_to) == ("2", asked.id)


async def test_an_edit_is_told_with_its_newer_text_and_not_heard_as_a_word(
    bot: Bot, ben: Phone, room: str
) -> None:
    first = await ben.say(room, "off 51")
    await ben.say(
        room,
        "* off 57",
        **{
            "m.new_content": {"msgtype": "m.text", "body": "off 57"},
            "m.relates_to": {"rel_type": "m.replace", "event_id": first},
        },
    )
    edited = await bot.hears("off 57", Happened.EDITED)
    assert (edited.text, edited.reply_to) == ("off 57", first)
    assert not [t for t in bot.texts() if "off 57" in t]


async def test_a_tap_is_heard_without_its_skin_tone_and_so_is_taking_it_back(
    bot: Bot, ben: Phone, room: str
) -> None:
    call = await sent(bot, room, Outgoing(("flip b2",), ("done",), Sound.ONCE))
    await ben.reads("flip b2")
    thumb = await ben.tap(room, call.id, "👍🏽")
    reacted = await bot.hears("👍", Happened.REACTED)
    assert (reacted.text, reacted.reply_to, reacted.choice) == ("👍", call.id, None)
    await answered(ben.client.room_redact(room, thumb))
    back = await bot.hears("👍", Happened.UNREACTED)
    assert (back.text, back.reply_to) == ("👍", call.id)


async def test_where_the_limit_is_lifted_a_ringing_question_has_a_tick_to_tap(
    bot: Bot, ben: Phone, room: str
) -> None:
    call = await sent(bot, room, Outgoing(("flip b3",), ("done",), Sound.ONCE))
    quiet = await sent(bot, room, Outgoing(("Which?",), ("A", "B")))
    tick = await ben.sees(lambda e: getattr(e, "reacts_to", "") == call.id)
    assert (tick.key, tick.reacts_to) == ("✅", call.id)
    await ben.reads("Which?")
    assert not [e for e in ben.seen if getattr(e, "reacts_to", "") == quiet.id]


async def test_the_tick_of_somebody_else_counts_as_the_first_choice(
    bot: Bot, ben: Phone, room: str
) -> None:
    call = await sent(bot, room, Outgoing(("flip b4",), ("done",), Sound.ONCE))
    await ben.sees(lambda e: getattr(e, "reacts_to", "") == call.id)
    await ben.tap(room, call.id, "✅")
    assert (await bot.hears("✅", Happened.REACTED)).choice == "1"


async def test_a_newer_edition_replaces_the_text_on_the_screen(
    bot: Bot, ben: Phone, room: str
) -> None:
    first = await sent(bot, room, Outgoing(("PLAN A 12:00",)))
    assert await bot.matrix.edit(first, Outgoing(("PLAN B 12:40",))) == first
    newer = (await ben.reads("PLAN B")).source["content"]
    assert newer["m.new_content"]["body"] == "PLAN B 12:40"
    assert newer["m.relates_to"] == {"rel_type": "m.replace", "event_id": first.id}


async def test_going_back_to_an_earlier_edition_is_an_edit_too(
    bot: Bot, ben: Phone, room: str
) -> None:
    first = await sent(bot, room, Outgoing(("270 heads",)))
    for text in ("280 heads", "270 heads", "280 heads"):
        await bot.matrix.edit(first, Outgoing((text,)))
    await ben.reads("280 heads")
    await ben.look(0.2)
    edits = [b for b in ben.bodies() if b.startswith("* ") and "heads" in b]
    assert edits == ["* 280 heads", "* 270 heads", "* 280 heads"]


async def test_after_a_restart_an_edit_still_finds_its_room(
    bot: Bot, ben: Phone, room: str
) -> None:
    first = await sent(bot, room, Outgoing(("PLAN C 12:00",)))
    await bot.stop()
    await bot.start()
    assert await bot.matrix.edit(first, Outgoing(("PLAN D 12:40",))) == first
    await ben.reads("PLAN D 12:40")
    strange = await bot.matrix.edit(Sent("$nowhere"), Outgoing(("x",)))
    assert isinstance(strange, Rejected)


async def test_the_chatter_of_one_load_goes_into_its_thread_also_after_a_restart(
    bot: Bot, ben: Phone, room: str
) -> None:
    root = await sent(bot, room, Outgoing(("A on 12:00.",), thread="A"))
    await sent(bot, room, Outgoing(("A 61 C.",), thread="A"))
    await bot.stop()
    await bot.start()
    await sent(bot, room, Outgoing(("A off 13:10.",), thread="A"))
    for text in ("A 61 C.", "A off 13:10."):
        relation = (await ben.reads(text)).source["content"]["m.relates_to"]
        assert (relation["rel_type"], relation["event_id"]) == ("m.thread", root.id)


async def test_what_was_typed_comes_back_escaped(bot: Bot, ben: Phone, room: str) -> None:
    await sent(bot, room, Outgoing(("<b2> & co",), sound=Sound.ONCE))
    content = (await ben.reads("<b2> & co")).source["content"]
    assert content["formatted_body"] == "<strong>&lt;b2&gt; &amp; co</strong>"


async def test_a_message_that_asks_for_it_is_pinned_once_we_may(
    bot: Bot, lucia: Phone, room: str
) -> None:
    plan = Outgoing(("PLAN A",), pin=True)
    assert isinstance(await bot.matrix.send(room, plan, "n:1"), Sent)  # refused, still sent
    levels = (
        await answered(lucia.client.room_get_state_event(room, "m.room.power_levels"))
    ).content
    levels["users"] = {**levels.get("users", {}), bot.matrix.account.user: 50}
    await answered(lucia.client.room_put_state(room, "m.room.power_levels", levels))
    pinned = await sent(bot, room, plan)
    state = await answered(lucia.client.room_get_state_event(room, "m.room.pinned_events"))
    assert state.content["pinned"] == [pinned.id]


async def test_a_picture_is_sent_encrypted_with_its_words_and_opens_on_the_phone(
    bot: Bot, ben: Phone, room: str
) -> None:
    await sent(bot, room, Outgoing(("Plan A.",), picture="plan-A.png"))
    content = (await ben.reads("Plan A.")).source["content"]
    assert content["msgtype"] == "m.image"
    assert "url" not in content
    assert content["body"] == "Plan A.\nPlan A: light P1 at 12:00"
    assert (content["info"]["w"], content["info"]["h"]) == (60, 40)
    assert await ben.opened(content) == drawn("plan-A.png", 60).content


async def test_a_photo_of_the_crew_is_fetched_and_opened(bot: Bot, ben: Phone, room: str) -> None:
    photo = drawn("label.png", 90)
    file = await ben.upload(photo.content)
    content = {
        "msgtype": "m.image",
        "body": "the mayo",
        "filename": "label.png",
        "file": file,
        "info": {"mimetype": "image/png", "size": len(photo.content)},
    }
    await ben.put(room, "m.room.message", content)
    heard = await bot.hears("the mayo")
    (attached,) = heard.attached
    assert (attached.name, attached.kind) == ("label.png", "image/png")
    assert await bot.matrix.fetch(attached.ref) == photo.content


async def test_a_document_follows_its_message_and_comes_back_whole(
    bot: Bot, ben: Phone, room: str
) -> None:
    await sent(bot, room, Outgoing(("The sheets.",), documents=("menu.pdf", "lost.pdf")))
    content = (await ben.reads("The menu")).source["content"]
    assert (content["msgtype"], content["filename"]) == ("m.file", "menu.pdf")
    assert await ben.opened(content) == MENU.content


async def test_a_file_that_is_gone_too_large_or_was_changed_is_refused_in_words(
    bot: Bot, ben: Phone, room: str
) -> None:
    keys = await ben.upload(b"x" * 2000)
    sealed = f'"iv":"{keys["iv"]}","sha256":"{keys["hashes"]["sha256"]}"'
    good = f'{{"url":"{keys["url"]}","key":"{keys["key"]["k"]}",{sealed}}}'
    wrong = good.replace(keys["hashes"]["sha256"], "A" * 43)
    assert len(await bot.matrix.fetch(good)) == 2000
    for ref, words in (
        (wrong, "does not open"),
        ('{"url":"mxc://pit.test/nothing"}', "no longer gives"),
        ("[]", "no file of this platform"),
    ):
        with pytest.raises(FetchError, match=words):
            await bot.matrix.fetch(ref)
    large = await ben.upload(b"x" * 4000)
    with pytest.raises(FetchError, match="larger"):
        await bot.matrix.fetch(f'{{"url":"{large["url"]}"}}')


async def test_a_text_no_event_can_hold_is_refused_so_that_it_is_split(bot: Bot, room: str) -> None:
    assert isinstance(await bot.matrix.send(room, Outgoing(("é" * 8_000,)), "r:1"), Rejected)
    assert isinstance(await bot.matrix.send(room, Outgoing(("é" * 7_000,)), "r:2"), Sent)


async def test_the_server_itself_says_when_an_event_is_too_large(
    bot: Bot, lucia: Phone, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = await lucia.make_room(bot.matrix.account.user, encrypted=False)
    await bot.comes_into(plain)
    monkeypatch.setattr("bot.chat.matrix.words.MOST_BYTES", 10**6)
    receipt = await bot.matrix.send(plain, Outgoing(("x" * 70_000,)), "r:1")
    assert isinstance(receipt, Rejected)
    assert "M_TOO_LARGE" in receipt.why


async def test_plain_rooms_work_the_same(bot: Bot, lucia: Phone) -> None:
    plain = await lucia.make_room(bot.matrix.account.user, encrypted=False)
    await bot.comes_into(plain)
    await lucia.say(plain, "status")
    await bot.hears("status")
    await sent(bot, plain, Outgoing(("Nothing is on.",)))
    assert not (await lucia.reads("Nothing is on.")).decrypted
