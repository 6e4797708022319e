"""What every kind of failed send means, held against what really reached the phone."""

from __future__ import annotations

import logging
import socket
from collections.abc import AsyncIterator

import pytest

from bot.chat.telegram import Telegram, TelegramTokenError
from bot.clock import VirtualClock
from bot.ports import Ambiguous, Gone, Migrated, NotSent, Outgoing, Rejected, Sent, Wait
from tests.bot.telegram_line import ANSWER_S, NOON, Line, Shelf, connected
from tests.doubles.bot_api import Fault

BO = "1002"
HELLO = Outgoing(("hello",))


@pytest.fixture
async def line() -> AsyncIterator[Line]:
    async with connected() as made:
        yield made


@pytest.mark.parametrize(
    ("fault", "kind", "arrived"),
    [
        (Fault.HANG_BEFORE, Ambiguous, False),
        (Fault.HANG_AFTER, Ambiguous, True),
        (Fault.CUT_BEFORE, Ambiguous, False),
        (Fault.CUT_AFTER, Ambiguous, True),
        (Fault.BROKEN, Ambiguous, False),
        (Fault.PROXY, Ambiguous, False),
        (Fault.FLOOD, Wait, False),
        (Fault.SLOW, Sent, True),
    ],
)
async def test_each_fault_has_its_receipt(fault: Fault, kind: type, arrived: bool) -> None:
    hangs = fault in {Fault.HANG_BEFORE, Fault.HANG_AFTER}
    async with connected(answer_s=0.3 if hangs else ANSWER_S) as line:
        line.api.fault("sendMessage", fault)
        assert type(await line.chat.send(BO, HELLO, "k")) is kind
        assert (line.bo.screen() == ["hello"]) is arrived


async def test_the_platforms_patience_is_told_in_its_seconds(line: Line) -> None:
    line.api.fault("sendMessage", Fault.FLOOD)
    assert await line.chat.send(BO, HELLO, "k") == Wait(7.0)


async def test_where_nobody_listens_nothing_was_sent() -> None:
    with socket.socket() as door:
        door.bind(("127.0.0.1", 0))
        nowhere = f"http://127.0.0.1:{door.getsockname()[1]}"
        chat = Telegram("1:x", Shelf(), clock=VirtualClock(NOON), base_url=nowhere, answer_s=0.2)
        await chat.start()  # no answer is no reason not to start
        assert isinstance(await chat.send(BO, HELLO, "k"), NotSent)
        await chat.stop()


async def test_a_message_that_is_refused_is_never_a_network_error(line: Line) -> None:
    assert isinstance(await line.chat.send("404", HELLO, "k"), Rejected)
    assert isinstance(await line.chat.send(BO, Outgoing(()), "k2"), Rejected)


async def test_a_chat_that_is_closed_to_us_is_gone(line: Line) -> None:
    line.bo.user.blocked = True
    assert isinstance(await line.chat.send(BO, HELLO, "k"), Gone)
    line.group.bot_status = "kicked"
    assert isinstance(await line.chat.send("-1001", HELLO, "k2"), Gone)
    stranger = line.api.phone(1009, "Zoe", started=False)
    assert isinstance(await line.chat.send(str(stranger.user.id), HELLO, "k3"), Gone)


async def test_a_group_that_moved_says_where_to(line: Line) -> None:
    old = line.api.group(-55, line.bo, kind="group")
    new = line.api.migrate(old, -100155)
    assert await line.chat.send("-55", HELLO, "k") == Migrated("-100155")
    assert isinstance(await line.chat.send("-100155", HELLO, "k"), Sent)
    assert line.bo.screen(new) == ["hello"]


async def test_a_wrong_token_is_told_at_the_start_without_saying_it(
    line: Line, caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG)
    wrong = "987654321:AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsawy"
    chat = Telegram(wrong, Shelf(), clock=line.clock, base_url=line.api.url)
    with pytest.raises(TelegramTokenError) as refused:
        await chat.start()
    assert wrong not in f"{refused.value!r}{refused.value.__cause__!r}"
    receipt = await chat.send(BO, HELLO, "k")
    assert isinstance(receipt, NotSent)
    assert wrong not in receipt.why
    ours = [r.getMessage() for r in caplog.records if r.name.startswith(("pitcrier", "http"))]
    assert [said for said in ours if wrong in said] == []
    await chat.stop()
