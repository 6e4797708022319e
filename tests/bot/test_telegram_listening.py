"""Nothing a crew typed is lost: taken means that the next batch was asked for."""

from __future__ import annotations

import asyncio
import socket
from collections.abc import AsyncIterator
from contextlib import aclosing

import httpx
import pytest

from bot.chat.telegram import Telegram, Webhook
from bot.chat.telegram.adapter import POLL_S
from bot.ports import Batch
from tests.bot.telegram_line import PAUSE_S, Line, Shelf, connected, until
from tests.doubles.bot_api import Fault
from tests.fakes import MemoryStore

SECRET = "s3cret_-words"


@pytest.fixture
async def line() -> AsyncIterator[Line]:
    async with connected() as made:
        yield made


def free_port() -> int:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        return int(door.getsockname()[1])


@pytest.fixture
async def hooked() -> AsyncIterator[Line]:
    port = free_port()
    hook = Webhook("https://bot.example/hook", SECRET, port=port)
    async with connected(webhook=hook) as made:
        made.api.updates.routes[hook.url] = f"http://127.0.0.1:{port}/hook"
        yield made


async def first_batch(chat: Telegram) -> Batch:
    """Return a batch and die before asking for the next one."""
    async with aclosing(chat.batches()) as batches:
        async for batch in batches:
            return batch
    raise AssertionError("nothing came")


async def another(line: Line) -> Telegram:
    """Return a second process with the same token."""
    chat = Telegram(
        line.api.token, Shelf(), clock=line.clock, base_url=line.api.url, pause_s=PAUSE_S
    )
    await chat.start()
    return chat


async def test_what_was_not_taken_before_a_crash_comes_again(line: Line) -> None:
    line.bo.say("A 38")
    line.bo.say("A 46")
    lost = await first_batch(line.chat)
    await line.chat.stop()
    reborn = await another(line)
    assert await first_batch(reborn) == lost
    await reborn.stop()


async def test_what_was_taken_is_confirmed_at_the_end_and_does_not_come_again(line: Line) -> None:
    line.bo.say("A 38")
    await line.hears()
    await line.chat.stop_listening()
    await until(lambda: line.api.updates.waiting == [])


async def test_what_comes_twice_or_out_of_order_is_kept_once_and_in_order(line: Line) -> None:
    store = MemoryStore(line.clock)
    for reading in ("A 38", "A 42", "A 46"):
        line.bo.say(reading)
    line.api.updates.again(811_000, 811_002)
    line.api.updates.shuffle()
    batch = await first_batch(line.chat)
    assert await store.hear(batch.messages, None) == 3
    assert await store.hear(batch.messages, None) == 0
    assert [h.message.text for h in await store.unhandled()] == ["A 38", "A 42", "A 46"]


async def test_updates_that_wait_come_as_one_batch(line: Line) -> None:
    for number in range(30):
        line.bo.say(f"A {number + 20}")
    assert len((await first_batch(line.chat)).messages) == 30


@pytest.mark.parametrize("fault", [Fault.CUT_BEFORE, Fault.CUT_AFTER, Fault.BROKEN, Fault.PROXY])
async def test_polling_goes_on_after_every_fault(line: Line, fault: Fault) -> None:
    line.api.fault("getUpdates", fault, fault)
    line.bo.say("A 38")
    (heard,) = await line.hears()
    assert heard.text == "A 38"


async def test_a_beginning_without_network_is_tried_again(line: Line) -> None:
    line.api.fault("deleteWebhook", Fault.PROXY, Fault.CUT_BEFORE)
    line.bo.say("A 38")
    assert len(await line.hears()) == 1


async def test_an_error_that_lasts_is_asked_after_ever_more_seldom(line: Line) -> None:
    line.listen()
    await line.asked_for("getUpdates")
    began, before = asyncio.get_running_loop().time(), len(line.api.calls("getUpdates"))
    line.api.fault("getUpdates", *[Fault.BROKEN] * 1000)
    line.bo.say("A 38")
    await until(lambda: len(line.api.calls("getUpdates")) - before >= 5)
    # by hand: between five failures lie pauses of 0.02, 0.04, 0.08 and 0.16 s
    assert asyncio.get_running_loop().time() - began >= 0.30
    assert "500" in line.chat.known.trouble or "Internal" in line.chat.known.trouble


async def test_a_rival_with_our_token_is_seen_and_goes_unseen_again(line: Line) -> None:
    line.listen()
    await line.asked_for("getUpdates")
    async with httpx.AsyncClient() as client:
        rival = f"{line.api.url}/bot{line.api.token}/getUpdates"
        poll = asyncio.create_task(client.get(rival, params={"timeout": "1"}))
        await until(lambda: line.chat.known.rival_since is not None)
        assert "other getUpdates" in line.chat.known.trouble
        poll.cancel()
        await asyncio.wait({poll})
    line.bo.say("A 38")
    await line.hears()
    assert line.chat.known.rival_since is None
    assert line.chat.known.trouble == ""


async def test_stopping_does_not_wait_for_a_long_poll(line: Line) -> None:
    line.listen()
    await line.asked_for("getUpdates")
    async with asyncio.timeout(POLL_S / 2):
        await line.hang_up()


# ------------------------------------------------------------------ the webhook


async def test_a_webhook_is_registered_with_its_secret_and_our_kinds(hooked: Line) -> None:
    hooked.listen()
    await hooked.asked_for("setWebhook")
    asked = hooked.api.calls("setWebhook")[0]
    assert (asked["url"], asked["secret_token"]) == ("https://bot.example/hook", SECRET)
    assert asked["max_connections"] == "1"  # several at once would mix up the order of a chat
    assert "message_reaction" in asked["allowed_updates"]


async def test_what_the_webhook_brings_is_answered_when_it_is_safe(hooked: Line) -> None:
    async with aclosing(hooked.chat.batches()) as batches:
        coming = asyncio.ensure_future(anext(batches))
        await hooked.asked_for("setWebhook")
        hooked.bo.say("A 38")
        batch = await coming
        assert [m.text for m in batch.messages] == ["A 38"]
        assert (811_000, 200) not in hooked.api.updates.calls  # it is not in the inbox yet
        coming = asyncio.ensure_future(anext(batches))
        await until(lambda: hooked.api.updates.calls[-1:] == [(811_000, 200)])
        await hooked.chat.stop_listening()
        with pytest.raises(StopAsyncIteration):
            await coming


async def test_what_we_could_not_keep_is_brought_again(hooked: Line) -> None:
    coming = asyncio.create_task(first_batch(hooked.chat))
    await hooked.asked_for("setWebhook")
    hooked.bo.say("A 38")
    lost = await coming
    await until(lambda: len(hooked.api.updates.calls) >= 1)
    assert 200 not in {status for _, status in hooked.api.updates.calls}
    await hooked.chat.stop()
    assert [m.text for m in lost.messages] == ["A 38"]
    assert [u["update_id"] for _, u in hooked.api.updates.waiting] == [811_000]


@pytest.mark.parametrize("secret", [None, "wrong"])
async def test_a_caller_without_our_secret_is_sent_away(hooked: Line, secret: str | None) -> None:
    hooked.listen()
    await until(lambda: hooked.chat.known.heard_at is not None)
    address = hooked.api.updates.routes["https://bot.example/hook"]
    headers = {"X-Telegram-Bot-Api-Secret-Token": secret} if secret else {}
    async with httpx.AsyncClient() as client:
        answer = await client.post(address, json={"update_id": 1}, headers=headers)
    assert answer.status_code == 403
    assert hooked.heard == []
