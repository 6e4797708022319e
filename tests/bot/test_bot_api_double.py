"""The double of the Bot API is as strict as the published API: each limit, at it and one over."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import httpx
import pytest

from bot.clock import VirtualClock
from tests.bot.telegram_line import NOON, png
from tests.doubles.bot_api import BotApi, Chat, Phone, running
from tests.published import published

Json = dict[str, Any]


@dataclass
class Api:
    """The double, asked by hand."""

    double: BotApi
    client: httpx.AsyncClient
    clock: VirtualClock
    bo: Phone
    group: Chat

    async def ask(self, method: str, file: Json | None = None, **values: Any) -> Json:
        url = f"{self.double.url}/bot{self.double.token}/{method}"
        data = {k: v if isinstance(v, str) else json.dumps(v) for k, v in values.items()}
        answer = await self.client.post(url, data=data, files=file)
        told: Json = answer.json()
        assert told["ok"] is (answer.status_code == 200)
        return told

    async def says(self, text: str, **values: Any) -> Json:
        return await self.ask("sendMessage", chat_id=self.bo.user.id, text=text, **values)

    async def html(self, text: str) -> Json:
        return await self.says(text, parse_mode="HTML")

    def later(self, seconds: float) -> None:
        self.clock.advance(timedelta(seconds=seconds))


@pytest.fixture
async def api() -> AsyncIterator[Api]:
    clock = VirtualClock(NOON)
    async with running(clock) as double, httpx.AsyncClient() as client:
        bo = double.phone(1002, "Bo")
        yield Api(double, client, clock, bo, double.group(-1001, bo, topics={7}))


def keys(*data: str) -> Json:
    return {"inline_keyboard": [[{"text": "x", "callback_data": d}] for d in data]}


# ------------------------------------------------------------------ texts


@published("Telegram Bot API, sendMessage: text 1-4096 characters after entities parsing")
async def test_a_text_has_1_to_4096_characters_once_its_tags_are_gone(api: Api) -> None:
    assert (await api.html("<b>" + "x" * 4096 + "</b>"))["ok"]
    assert "too long" in (await api.says("x" * 4097))["description"]
    assert "empty" in (await api.says(" "))["description"]


@published("Telegram Bot API, MessageEntity: offset and length in UTF-16 code units")
async def test_entities_count_in_utf16_units(api: Api) -> None:
    told = await api.html("\N{FIRE}<b>hot</b>")
    assert told["result"]["entities"] == [{"type": "bold", "offset": 2, "length": 3}]


async def test_the_limit_of_a_text_is_read_in_utf16_units(api: Api) -> None:
    # from memory: the strict of two readings of "characters", so that ours holds under either
    assert (await api.says("\N{FIRE}" * 2048))["ok"]
    api.later(3)
    assert not (await api.says("\N{FIRE}" * 2049))["ok"]


@published(
    "Telegram Bot API, HTML style: < > & must be entities, only the listed tags are supported"
)
@pytest.mark.parametrize("html", ["<table>", "a < b", "<b>x", "x</b>", "<b><i>x</b></i>", "<b"])
async def test_torn_crossed_or_unknown_tags_are_refused(api: Api, html: str) -> None:
    assert "can't parse entities" in (await api.html(html))["description"]


@published("Telegram Bot API, HTML style: &lt; &gt; &amp; &quot; and numerical entities")
async def test_entities_of_html_are_read(api: Api) -> None:
    told = await api.html("2 &lt; 3 &amp; 4 &gt; 3 &#33;")
    assert told["result"]["text"] == "2 < 3 & 4 > 3 !"


@published("Telegram Bot API, HTML style: tg://user?id= mentions a user")
async def test_a_mention_is_an_entity_with_its_user(api: Api) -> None:
    told = await api.html('<a href="tg://user?id=1002">Bo</a>')
    assert told["result"]["entities"][0]["user"]["id"] == 1002


# ------------------------------------------------------------------ buttons


@published("Telegram Bot API, InlineKeyboardButton: callback_data 1-64 bytes")
@pytest.mark.parametrize(("data", "ok"), [("x" * 64, True), ("x" * 65, False), ("ü" * 33, False),
                                          ("", False)])  # fmt: skip
async def test_callback_data_has_1_to_64_bytes(api: Api, data: str, ok: bool) -> None:
    assert (await api.says("x", reply_markup=keys(data)))["ok"] is ok


async def test_at_most_a_hundred_buttons_eight_in_a_row(api: Api) -> None:
    # from measurements of others: the server refuses more; no line of the documentation says so
    assert (await api.says("x", reply_markup=keys(*["d"] * 100)))["ok"]
    assert not (await api.says("x", reply_markup=keys(*["d"] * 101)))["ok"]
    nine = {"inline_keyboard": [keys(*["d"] * 9)["inline_keyboard"][0] * 9]}
    assert not (await api.says("x", reply_markup=nine))["ok"]


@published("Telegram Bot API, answerCallbackQuery: text 0-200 characters")
async def test_the_answer_to_a_tap_has_at_most_200_characters(api: Api) -> None:
    await api.says("x", reply_markup=keys("c:1"))
    query = api.bo.tap(api.bo.newest(), 1)
    assert not (await api.ask("answerCallbackQuery", callback_query_id=query, text="x" * 201))["ok"]


async def test_an_old_or_unknown_tap_cannot_be_answered(api: Api) -> None:
    # from memory: the server's words; how old is not documented
    await api.says("x", reply_markup=keys("c:1"))
    query = api.bo.tap(api.bo.newest(), 1)
    api.later(3600)
    told = await api.ask("answerCallbackQuery", callback_query_id=query)
    assert "query is too old" in told["description"]
    assert not (await api.ask("answerCallbackQuery", callback_query_id="none"))["ok"]


# ------------------------------------------------------------------ pictures and files


@published("Telegram Bot API, sendPhoto: caption 0-1024 characters after entities parsing")
async def test_a_caption_has_at_most_1024_characters(api: Api) -> None:
    for length, ok in ((1024, True), (1025, False)):
        told = await api.ask(
            "sendPhoto", {"photo": ("p.png", png())}, chat_id="1002", caption="x" * length
        )
        assert told["ok"] is ok


@published("Telegram Bot API, sendPhoto: at most 10 MB, width and height at most 10000 in total, "
           "ratio at most 20")  # fmt: skip
async def test_a_photo_is_within_its_limits(api: Api) -> None:
    for content in (png(9000, 1001), png(2100, 100), png() + b"x" * 10_000_000):
        told = await api.ask("sendPhoto", {"photo": ("p.png", content)}, chat_id="1002")
        assert not told["ok"]


@published("Telegram Bot API, sendDocument: bots can currently send files of up to 50 MB")
async def test_a_document_has_at_most_50_mb(api: Api) -> None:
    told = await api.ask("sendDocument", {"document": ("d.pdf", b"x" * 50_000_001)}, chat_id="1002")
    assert told["error_code"] == 413


@published("Telegram Bot API, getFile: bots can download files of up to 20 MB in size")
async def test_a_download_has_at_most_20_mb(api: Api) -> None:
    ref = api.double.world.keep("big", b"x" * 20_000_001)
    assert not (await api.ask("getFile", file_id=ref))["ok"]
    small = api.double.world.keep("small", b"x" * 100)
    assert (await api.ask("getFile", file_id=small))["result"]["file_size"] == 100
    assert not (await api.ask("getFile", file_id="unknown"))["ok"]


# ------------------------------------------------------------------ how often


@published("Telegram Bots FAQ: avoid more than one message a second in a single chat; short bursts "
           "may go through, then 429")  # fmt: skip
async def test_a_burst_to_one_chat_ends_in_429_with_the_seconds_to_wait(api: Api) -> None:
    oks = [(await api.says(f"{n}"))["ok"] for n in range(4)]
    assert oks == [True, True, True, False]  # the burst of three is from measurements of others
    told = await api.says("x")
    assert told["error_code"] == 429
    assert told["parameters"]["retry_after"] == 3
    api.later(3)
    assert (await api.says("x"))["ok"]


@published("Telegram Bots FAQ: in a group, not more than 20 messages per minute")
async def test_the_21st_message_of_a_minute_to_a_group_is_refused(api: Api) -> None:
    for _ in range(20):
        assert (await api.ask("sendMessage", chat_id="-1001", text="x"))["ok"]
        api.later(1)
    told = await api.ask("sendMessage", chat_id="-1001", text="x")
    assert (told["error_code"], told["parameters"]["retry_after"]) == (429, 40)


@published("Telegram Bots FAQ: the limit per minute is named for groups only")
async def test_a_private_chat_has_no_limit_a_minute(api: Api) -> None:
    for _ in range(60):
        assert (await api.says("x"))["ok"]
        api.later(1)


@published("Telegram Bots FAQ: not more than about 30 messages per second in all")
async def test_the_31st_message_of_a_second_to_anybody_is_refused(api: Api) -> None:
    for n in range(31):
        api.double.phone(5000 + n, f"P{n}")
    oks = [(await api.ask("sendMessage", chat_id=str(5000 + n), text="x"))["ok"] for n in range(31)]
    assert oks == [True] * 30 + [False]


# ------------------------------------------------------------------ where, and what was said


async def test_closed_unknown_and_moved_chats_are_told_apart(api: Api) -> None:
    # the numbers are documented (error_code, migrate_to_chat_id), the words are from memory
    stranger = api.double.phone(1009, "Zoe", started=False)
    api.bo.user.blocked = True
    told = [await api.ask("sendMessage", chat_id=str(c), text="x") for c in (1002, 1009, 77)]
    assert [t["error_code"] for t in told] == [403, 403, 400]
    assert stranger.seen == []
    old = api.double.group(-55, api.bo, kind="group")
    api.double.migrate(old, -100155)
    moved = await api.ask("sendMessage", chat_id="-55", text="x")
    assert moved["parameters"] == {"migrate_to_chat_id": -100155}


async def test_an_edit_that_changes_nothing_or_nothing_there_is_refused(api: Api) -> None:
    # from memory: the server's words
    sent = (await api.says("A"))["result"]["message_id"]
    again = await api.ask("editMessageText", chat_id="1002", message_id=sent, text="A")
    assert "message is not modified" in again["description"]
    gone = await api.ask("editMessageText", chat_id="1002", message_id=99, text="A")
    assert "message to edit not found" in gone["description"]
    theirs = api.bo.say("mine")
    other = await api.ask("editMessageText", chat_id="1002", message_id=theirs.id, text="A")
    assert "can't be edited" in other["description"]


async def test_a_topic_that_is_not_there_and_a_lost_reply_are_refused(api: Api) -> None:
    # from memory: the server's words
    to_topic = await api.ask("sendMessage", chat_id="-1001", text="x", message_thread_id=8)
    assert "thread not found" in to_topic["description"]
    reply: Json = {"message_id": 99}
    assert not (await api.says("x", reply_parameters=reply))["ok"]
    reply["allow_sending_without_reply"] = True
    assert (await api.says("x", reply_parameters=reply))["ok"]


# ------------------------------------------------------------------ updates


async def updates(api: Api, **values: Any) -> list[int]:
    told = await api.ask("getUpdates", **values)
    return [update["update_id"] for update in told["result"]]


@published("Telegram Bot API, getUpdates: confirmed as soon as called with an offset higher than "
           "its update_id; limit 1-100")  # fmt: skip
async def test_updates_stay_until_a_higher_offset_confirms_them(api: Api) -> None:
    for n in range(3):
        api.bo.say(f"{n}")
    assert await updates(api, limit=2) == [811_000, 811_001]
    assert await updates(api) == [811_000, 811_001, 811_002]
    assert await updates(api, offset=811_002) == [811_002]


@published("Telegram Bot API, Getting updates: not kept longer than 24 hours")
async def test_updates_are_kept_a_day(api: Api) -> None:
    api.bo.say("x")
    api.later(24 * 3600)
    assert await updates(api) == []


@published("Telegram Bot API, getUpdates: all kinds except chat_member, message_reaction and "
           "message_reaction_count by default")  # fmt: skip
async def test_reactions_are_given_only_when_asked_for(api: Api) -> None:
    post = api.bo.say("x")
    api.bo.react(post, "👍")
    assert await updates(api) == [811_000]
    await updates(api, allowed_updates=["message", "message_reaction"])
    api.bo.react(post, "❤")
    assert await updates(api) == [811_000, 811_002]


@published("Telegram Bot API, getUpdates: long polling with a timeout in seconds")
async def test_a_long_poll_answers_when_something_comes(api: Api) -> None:
    poll = asyncio.ensure_future(updates(api, timeout=20))
    while not api.double.updates.polls:
        await asyncio.sleep(0.002)
    api.bo.say("x")
    assert await poll == [811_000]


@published("Telegram Bot API, getUpdates: does not work if an outgoing webhook is set up")
async def test_polling_and_a_webhook_exclude_each_other(api: Api) -> None:
    assert (await api.ask("setWebhook", url="https://bot.example/hook"))["ok"]
    assert (await api.ask("getUpdates"))["error_code"] == 409
    assert (await api.ask("deleteWebhook"))["ok"]
    assert (await api.ask("getUpdates"))["ok"]


async def test_of_two_pollers_the_older_is_sent_away(api: Api) -> None:
    # seen with the real server by many: 409, terminated by other getUpdates request
    older = asyncio.ensure_future(api.ask("getUpdates", timeout=20))
    while not api.double.updates.polls:
        await asyncio.sleep(0.002)
    assert (await api.ask("getUpdates"))["ok"]
    assert (await older)["error_code"] == 409


@published("Telegram Bot API, setWebhook: HTTPS, ports 443, 80, 88, 8443; secret_token 1-256 of "
           "A-Z a-z 0-9 _ -; max_connections 1-100")  # fmt: skip
@pytest.mark.parametrize(
    "wrong",
    [
        {"url": "http://bot.example/hook"},
        {"url": "https://bot.example:8080/hook"},
        {"secret_token": "x" * 257},
        {"secret_token": "no spaces"},
        {"max_connections": 101},
    ],
)
async def test_a_webhook_is_within_its_limits(api: Api, wrong: Json) -> None:
    right: Json = {"url": "https://bot.example:8443/hook", "secret_token": "x" * 256}
    assert (await api.ask("setWebhook", **right))["ok"]
    assert not (await api.ask("setWebhook", **(right | wrong)))["ok"]


# ------------------------------------------------------------------ the bot itself


@published("Telegram Bot API, setMyCommands: at most 100; BotCommand: 1-32 of a-z 0-9 _, "
           "description 1-256 characters; language_code two letters")  # fmt: skip
async def test_a_menu_is_within_its_limits(api: Api) -> None:
    def menu(name: str = "on", description: str = "x", count: int = 1) -> list[Json]:
        return [{"command": name, "description": description}] * count

    right = [menu(), menu("x" * 32), menu(description="x" * 256), menu(count=100)]
    wrong = [menu("x" * 33), menu("On"), menu(description=""), menu(description="x" * 257),
             menu(count=101)]  # fmt: skip
    for commands in right:
        assert (await api.ask("setMyCommands", commands=commands))["ok"]
    for commands in wrong:
        assert not (await api.ask("setMyCommands", commands=commands))["ok"]
    assert not (await api.ask("setMyCommands", commands=menu(), language_code="esp"))["ok"]


@published("Telegram Bot Features, Privacy mode: commands, replies to the bot, service messages")
async def test_privacy_mode_lets_commands_and_answers_through(api: Api) -> None:
    sent = await api.ask("sendMessage", chat_id="-1001", text="which?")
    post = api.group.posts[sent["result"]["message_id"]]
    for text, reply in (("banter", None), ("/status", None), ("b2", post)):
        api.bo.say(text, api.group, reply_to=reply)
    told = await api.ask("getUpdates")
    assert [u["message"]["text"] for u in told["result"]] == ["/status", "b2"]


async def test_privacy_mode_lets_a_mention_through(api: Api) -> None:
    # seen by others with the real server; no line of the documentation says so
    api.bo.say("@pit_bot A 38", api.group)
    assert await updates(api) == [811_000]


@published("Telegram Bot API, Authorizing your bot: requests are made to /bot<token>/METHOD")
async def test_another_token_is_nobody(api: Api) -> None:
    answer = await api.client.post(f"{api.double.url}/bot1:x/getMe")
    assert answer.status_code == 401
