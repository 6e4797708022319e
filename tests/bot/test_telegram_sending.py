"""What a crew sees on Telegram: look, sound, buttons, pictures, pins, edits, splitting."""

from __future__ import annotations

from collections.abc import AsyncIterator

import pytest

from bot.ports import Mention, Outgoing, Receipt, Rejected, Sent, Tag
from core.model import Sound, Verdict
from tests.bot.telegram_line import Line, connected, png
from tests.doubles.bot_api import Fault, Post
from tests.published import published

BO, GROUP = "1002", "-1001"
LONG = tuple(f"{n:03} {'x' * 95}" for n in range(60))  # 60 lines of 99 letters


@pytest.fixture
async def line() -> AsyncIterator[Line]:
    async with connected() as made:
        yield made


async def sent(line: Line, room: str, message: Outgoing, key: str = "k") -> Sent:
    receipt = await line.chat.send(room, message, key)
    assert isinstance(receipt, Sent), receipt
    return receipt


def post_of(line: Line, receipt: Receipt) -> Post:
    assert isinstance(receipt, Sent)
    chat, number = map(int, receipt.id.split(":"))
    return line.api.world.chats[chat].posts[number]


async def test_what_looks_like_markup_arrives_as_it_was_typed(line: Line) -> None:
    words = "2 < 3 & 5 > 4 <b>not bold</b> &amp;"
    receipt = await sent(line, BO, Outgoing((words,)))
    assert post_of(line, receipt).text == words
    assert post_of(line, receipt).entities == []


async def test_the_first_line_is_bold_only_where_it_rings_or_judges(line: Line) -> None:
    calm = await sent(line, BO, Outgoing(("status", "all well")), "a")
    rings = await sent(line, BO, Outgoing(("pull A", "now"), sound=Sound.ONCE), "b")
    tag = Tag("reply", ("bo",), Verdict.BIN)
    judges = await sent(line, BO, Outgoing(("BIN · 4 h over", "why"), tag=tag), "c")
    assert [post_of(line, r).entities for r in (calm, rings, judges)] == [
        [],
        [{"type": "bold", "offset": 0, "length": 6}],
        [{"type": "bold", "offset": 0, "length": 14}],
    ]


async def test_only_a_message_with_a_sound_rings(line: Line) -> None:
    for n, sound in enumerate((Sound.SILENT, Sound.ONCE, Sound.ALARM)):
        await sent(line, BO, Outgoing((f"line {n}",), sound=sound), f"k{n}")
    assert [(seen.text, seen.rang) for seen in line.bo.seen] == [
        ("line 0", False),
        ("line 1", True),
        ("line 2", True),
    ]


async def test_who_must_act_is_mentioned_in_the_group_by_account(line: Line) -> None:
    message = Outgoing(
        ("pull A",), sound=Sound.ONCE, mention=(Mention("1002", "Bo"), Mention("?", "Eli"))
    )
    post = post_of(line, await sent(line, GROUP, message))
    assert post.text == "pull A\nBo, Eli"
    mentions = [e for e in post.entities if e["type"] == "text_mention"]
    assert mentions == [{"type": "text_mention", "offset": 7, "length": 2, "user": 1002}]


async def test_choices_are_buttons_one_a_row_that_say_their_number(line: Line) -> None:
    post = post_of(line, await sent(line, BO, Outgoing(("Apply?",), ("apply", "leave it"))))
    assert [[(b["text"], b["callback_data"]) for b in row] for row in post.buttons] == [
        [("apply", "c:1")],
        [("leave it", "c:2")],
    ]


async def test_an_answer_stands_under_the_message_it_answers(line: Line) -> None:
    asked = line.bo.say("status")
    (heard,) = await line.hears()
    post = post_of(line, await sent(line, BO, Outgoing(("all well",), reply_to=heard.ext_id)))
    assert post.reply_to == asked.id
    again = await sent(line, BO, Outgoing(("again",), reply_to=f"1002:{post.id}"), "k2")
    assert post_of(line, again).reply_to == post.id


async def test_an_answer_to_what_was_deleted_is_sent_without_it(line: Line) -> None:
    post = post_of(line, await sent(line, BO, Outgoing(("all well",), reply_to="1002:999")))
    assert post.reply_to is None


async def test_a_topic_of_a_forum_is_a_room_and_its_chat_where_it_is_gone(line: Line) -> None:
    assert post_of(line, await sent(line, "-1001/7", Outgoing(("hello",)), "a")).topic == 7
    assert post_of(line, await sent(line, "-1001/8", Outgoing(("hello",)), "b")).topic is None


# ------------------------------------------------------------------ splitting


@published("Telegram Bot API, sendMessage: text 1-4096 characters after entities parsing")
async def test_a_long_text_is_split_at_line_ends_with_the_buttons_under_the_last(
    line: Line,
) -> None:
    receipt = await sent(line, BO, Outgoing(LONG, ("ok",), Sound.ONCE))
    posts = list(line.bo.private.posts.values())
    assert "\n".join(post.text for post in posts) == "\n".join(LONG)
    assert [bool(post.buttons) for post in posts] == [False, True]
    assert [seen.rang for seen in line.bo.seen] == [False, True]
    assert receipt.id == f"1002:{posts[-1].id}"


async def test_a_text_of_exactly_the_limit_in_utf16_units_is_one_message(line: Line) -> None:
    at_limit = "\N{FIRE}" * 2048  # by hand: 2 units each
    await sent(line, BO, Outgoing((at_limit,)), "a")
    assert line.bo.screen() == [at_limit]
    await sent(line, BO, Outgoing((at_limit + "x",)), "b")
    assert "".join(line.bo.screen()[1:]) == at_limit + "x"
    assert len(line.bo.screen()) == 3


async def test_a_long_bold_line_with_signs_to_escape_is_cut_outside_its_tags(line: Line) -> None:
    await sent(line, BO, Outgoing(("a<b & " * 1000,), sound=Sound.ALARM))
    texts = [post.text for post in line.bo.private.posts.values()]
    assert " ".join(texts).split() == ["a<b", "&"] * 1000


async def test_what_arrived_of_a_split_message_is_not_sent_again(line: Line) -> None:

    line.api.fault("sendMessage", Fault.SLOW, Fault.FLOOD)
    first = await line.chat.send(BO, Outgoing(LONG), "k")
    assert not isinstance(first, Sent)
    await sent(line, BO, Outgoing(LONG), "k")
    assert "\n".join(line.bo.screen()) == "\n".join(LONG)


# ------------------------------------------------------------------ pictures and files


@published("Telegram Bot API, sendPhoto: caption 0-1024 characters after entities parsing")
async def test_a_caption_that_is_too_long_stands_apart_before_the_picture(line: Line) -> None:
    line.shelf.put("plan-A.png", png())
    receipt = await sent(line, BO, Outgoing(LONG[:14], ("ok",), picture="plan-A.png"))
    posts = list(line.bo.private.posts.values())
    assert [post.photo is not None for post in posts] == [False, True]
    assert "\n".join(post.text for post in posts) == "\n".join(LONG[:14])
    assert receipt.id == f"1002:{posts[1].id}"
    assert posts[1].buttons


async def test_a_picture_that_cannot_be_made_leaves_the_words(line: Line) -> None:
    post = post_of(line, await sent(line, BO, Outgoing(("Plan B",), picture="none.png")))
    assert (post.text, post.photo) == ("Plan B", None)


@published("Telegram Bot API, sendPhoto: width and height at most 10000 in total, ratio at most 20")
@pytest.mark.parametrize("size", [(9000, 1001), (2100, 100)])
async def test_a_picture_no_photo_can_be_goes_as_a_file(line: Line, size: tuple[int, int]) -> None:
    line.shelf.put("strip.png", png(*size))
    post = post_of(line, await sent(line, BO, Outgoing(("strip",), picture="strip.png")))
    assert post.document == ("strip.png", png(*size))


async def test_documents_follow_the_words_with_their_names(line: Line) -> None:
    line.shelf.put("prep.pdf", b"%PDF-1.7 ...", "application/pdf")
    line.shelf.put("buy.csv", b"item,kg\n", "text/csv")
    message = Outgoing(("Prep sheets",), documents=("prep.pdf", "buy.csv"))
    receipt = await sent(line, BO, message)
    posts = list(line.bo.private.posts.values())
    assert [post.document and post.document[0] for post in posts] == [None, "prep.pdf", "buy.csv"]
    assert receipt.id == f"1002:{posts[0].id}"


# ------------------------------------------------------------------ pins and edits


async def test_a_plan_card_is_pinned_and_its_picture_replaced_not_posted_again(line: Line) -> None:
    line.shelf.put("plan-A.png", png(mark=b"A"))
    line.shelf.put("plan-B.png", png(mark=b"B"))
    card = await sent(line, GROUP, Outgoing(("PLAN A 12:00",), picture="plan-A.png", pin=True))
    post = post_of(line, card)
    assert line.group.pinned == [post.id]
    assert line.api.calls("pinChatMessage")[0]["disable_notification"] == "true"
    newer = Outgoing(("PLAN B 12:40",), picture="plan-B.png", pin=True)
    assert await line.chat.edit(card, newer) == card
    assert (post.text, post.photo) == ("PLAN B 12:40", png(mark=b"B"))
    assert len(line.group.posts) == 1
    assert line.group.pinned == [post.id]


async def test_a_card_that_could_not_be_pinned_is_pinned_when_it_may_be(line: Line) -> None:
    line.group.may_pin = False
    card = await sent(line, GROUP, Outgoing(("PLAN A",), pin=True))
    line.group.may_pin = True
    await line.chat.edit(card, Outgoing(("PLAN B",), pin=True))
    assert line.group.pinned == [post_of(line, card).id]


async def test_an_edit_that_was_made_already_counts_as_made(line: Line) -> None:
    first = await sent(line, BO, Outgoing(("A",), ("ok",)))
    assert await line.chat.edit(first, Outgoing(("B",))) == first
    assert await line.chat.edit(first, Outgoing(("B",))) == first
    assert post_of(line, first).edits == 1


async def test_an_edit_makes_no_sound_and_takes_the_buttons_along(line: Line) -> None:
    first = await sent(line, BO, Outgoing(("Apply?",), ("apply",)))
    await line.chat.edit(first, Outgoing(("Applied by Ana",)))
    assert post_of(line, first).buttons == []
    assert [seen.rang for seen in line.bo.seen if seen.edited] == [False]


async def test_new_words_under_a_picture_leave_the_picture(line: Line) -> None:
    line.shelf.put("plan-A.png", png())
    card = await sent(line, BO, Outgoing(("PLAN A",), picture="plan-A.png"))
    assert await line.chat.edit(card, Outgoing(("PLAN A, read by all",))) == card
    assert post_of(line, card).text == "PLAN A, read by all"
    assert post_of(line, card).photo == png()


async def test_an_edit_of_what_is_gone_is_refused(line: Line) -> None:
    assert isinstance(await line.chat.edit(Sent("1002:999"), Outgoing(("x",))), Rejected)
    assert isinstance(await line.chat.edit(Sent("nonsense"), Outgoing(("x",))), Rejected)


async def test_an_edit_too_long_for_one_message_is_refused(line: Line) -> None:
    first = await sent(line, BO, Outgoing(("A",)))
    assert isinstance(await line.chat.edit(first, Outgoing(LONG)), Rejected)
