"""Store, outbox and Telegram together: what is owed arrives, at a pace the platform allows."""

from __future__ import annotations

from collections.abc import AsyncIterator, Sequence
from datetime import datetime, timedelta

import pytest

from bot.outbox import Outbox
from bot.ports import NewSend, Outgoing, Trouble
from core.model import Sound
from tests.bot.telegram_line import Line, connected, png
from tests.doubles.bot_api import Fault
from tests.fakes import MemoryStore

BO, GROUP = "1002", "-1001"
NETWORK = "telegram"


class Desk:
    """A store and an outbox on a line."""

    def __init__(self, line: Line) -> None:
        self.line, self.store = line, MemoryStore(line.clock)
        self.told: list[Trouble] = []
        self.outbox = Outbox(self.store, {NETWORK: line.chat}, line.clock, self)

    async def given_up(self, troubles: Sequence[Trouble]) -> None:
        self.told += troubles

    async def down(self, network: str, since: datetime) -> None:
        raise AssertionError(f"{network} is not down since {since}")

    async def back(self, network: str, since: datetime) -> None:
        raise AssertionError(f"{network} was not down since {since}")

    async def owe(self, *sends: NewSend) -> None:
        await self.store.append("cook:x-1", 0, (), self.line.clock.now(), sends)

    async def deliver(self, seconds: float = 600) -> None:
        """Deliver until nothing is owed or the time is up."""
        end = self.line.clock.now() + timedelta(seconds=seconds)
        while True:
            await self.outbox.deliver(NETWORK)
            await self.outbox.tell_troubles()
            owed = await self.store.next_send(NETWORK)
            if owed is None or owed > end:
                return
            moment = max(owed, self.line.clock.now() + timedelta(milliseconds=100))
            self.line.clock.set(moment)


def call(key: str, room: str = BO, text: str = "pull A", **how: object) -> NewSend:
    message = Outgoing((text,), ("done",), Sound.ONCE)
    return NewSend(key, NETWORK, room, message, 0, must=True, **how)  # type: ignore[arg-type]  # fields by name


@pytest.fixture
async def line() -> AsyncIterator[Line]:
    async with connected() as made:
        yield made


@pytest.fixture
def desk(line: Line) -> Desk:
    return Desk(line)


async def test_a_must_do_of_which_nobody_knows_is_sent_again_and_says_so(
    desk: Desk, line: Line
) -> None:
    line.api.fault("sendMessage", Fault.CUT_AFTER)
    await desk.owe(call("c1"))
    await desk.deliver()
    assert line.bo.screen() == ["pull A", "pull A (again)"]
    buttons = [post.buttons for post in line.bo.private.posts.values()]
    assert buttons[0] == buttons[1]  # a tap under either is the same tap


async def test_a_nicety_of_which_nobody_knows_is_let_go(desk: Desk, line: Line) -> None:
    line.api.fault("sendMessage", Fault.CUT_AFTER)
    await desk.owe(NewSend("n1", NETWORK, BO, Outgoing(("good evening",)), 2))
    await desk.deliver()
    assert line.bo.screen() == ["good evening"]


async def test_a_refused_message_goes_once_as_plain_text_and_is_then_told(
    desk: Desk, line: Line
) -> None:
    await desk.owe(call("c1", "77"))  # a chat that is not there
    await desk.deliver()
    assert [asked["chat_id"] for asked in line.api.calls("sendMessage")] == ["77", "77"]
    assert [trouble.room for trouble in desk.told] == ["77"]


async def test_a_picture_the_platform_refuses_leaves_the_words_and_the_choices(
    desk: Desk, line: Line
) -> None:
    line.shelf.put("plan.png", png())
    line.api.fault("sendPhoto", Fault.REFUSED)
    message = Outgoing(("PLAN A",), ("ok",), picture="plan.png")
    await desk.owe(NewSend("p1", NETWORK, BO, message, must=True))
    await desk.deliver()
    assert line.bo.screen() == ["PLAN A\n1 ok"]
    assert len(line.api.calls("sendPhoto")) == 1
    assert desk.told == []


async def test_a_file_over_the_limit_is_left_out(desk: Desk, line: Line) -> None:
    line.shelf.put("all.pdf", b"x" * 50_000_001, "application/pdf")
    await desk.owe(NewSend("p1", NETWORK, BO, Outgoing(("Sheets",), documents=("all.pdf",))))
    await desk.deliver()
    assert line.bo.screen() == ["Sheets"]


async def test_only_the_chat_that_must_wait_waits(desk: Desk, line: Line) -> None:
    ana = line.api.phone(1001, "Ana")
    line.api.fault("sendMessage", Fault.FLOOD)
    await desk.owe(call("c1"))
    start = line.clock.now()
    await desk.outbox.deliver(NETWORK)
    await desk.owe(call("c2", str(ana.user.id)))
    await desk.outbox.deliver(NETWORK)
    assert (line.bo.screen(), ana.screen()) == ([], ["pull A"])
    await desk.deliver()
    assert line.bo.screen() == ["pull A"]
    assert line.clock.now() - start >= timedelta(seconds=7)  # as the answer asked


async def test_a_busy_group_is_told_everything_without_one_refusal(desk: Desk, line: Line) -> None:
    texts = [f"line {n}" for n in range(45)]
    sends = [NewSend(f"k{n}", NETWORK, GROUP, Outgoing((t,)), 1) for n, t in enumerate(texts)]
    await desk.owe(*sends)
    await desk.deliver()
    assert line.bo.screen(line.group) == texts
    assert line.api.flood.refused == 0


async def test_a_hundred_private_chats_are_told_without_one_refusal(desk: Desk, line: Line) -> None:
    for n in range(100):
        line.api.phone(5000 + n, f"P{n}")
    await desk.owe(*(call(f"c{n}", str(5000 + n)) for n in range(100)))
    await desk.deliver()
    assert all(phone.screen() == ["pull A"] for phone in line.api.phones[1:])
    assert line.api.flood.refused == 0


async def test_what_was_owed_to_a_group_that_moved_arrives_once_in_the_new_one(
    desk: Desk, line: Line
) -> None:
    old = line.api.group(-55, line.bo, kind="group")
    await desk.owe(*(call(f"c{n}", "-55", f"call {n}") for n in range(3)))
    new = line.api.migrate(old, -100155)
    await desk.deliver()
    assert line.bo.screen(new) == ["call 0", "call 1", "call 2"]


async def test_a_blocked_bot_is_told_to_somebody_else(desk: Desk, line: Line) -> None:
    line.bo.user.blocked = True
    await desk.owe(call("c1"))
    await desk.deliver()
    assert [(t.room, "blocked" in t.why) for t in desk.told] == [(BO, True)]
