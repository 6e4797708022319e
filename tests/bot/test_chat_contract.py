"""What every front-end does; the same on the terminal, in a rehearsal and on the platforms."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator
from contextlib import aclosing
from datetime import timedelta
from typing import TYPE_CHECKING, cast

import pytest

from bot.clock import VirtualClock
from bot.ports import Incoming, Mention, Outgoing, Sent
from core.model import Sound
from tests.bot.fronts import FRONTS, LISTENING, Front
from tests.bot.telegram_line import NOON

if TYPE_CHECKING:
    from collections.abc import AsyncGenerator

PATIENCE_S = 20.0


@pytest.fixture
def clock() -> VirtualClock:
    return VirtualClock(NOON)


@pytest.fixture(params=sorted(FRONTS))
async def front(request: pytest.FixtureRequest, clock: VirtualClock) -> AsyncIterator[Front]:
    async with FRONTS[request.param](clock) as opened:
        yield opened


@pytest.fixture(params=LISTENING)
async def listening(request: pytest.FixtureRequest, clock: VirtualClock) -> AsyncIterator[Front]:
    async with FRONTS[request.param](clock) as opened:
        yield opened


async def heard(front: Front, count: int) -> list[Incoming]:
    found: list[Incoming] = []
    source = cast("AsyncGenerator[Incoming, None]", front.chat.incoming())
    async with asyncio.timeout(PATIENCE_S), aclosing(source) as messages:
        async for message in messages:
            found.append(message)
            if len(found) == count:
                break
    return found


async def sent(front: Front, message: Outgoing, key: str = "k1") -> Sent:
    receipt = await front.chat.send(front.room, message, key)
    assert isinstance(receipt, Sent), receipt
    return receipt


# ------------------------------------------------------------------ said


async def test_words_arrive_as_they_are_whatever_they_look_like(front: Front) -> None:
    words = "pull A <b>&amp;</b> *now* _it_ [x](y) 5 > 4 — niño"
    await sent(front, Outgoing((words, "second line")))
    (shown,) = await front.shown()
    assert words in shown
    assert shown.index("second line") > shown.index(words)


async def test_choices_can_be_read(front: Front) -> None:
    await sent(front, Outgoing(("Apply 60 → 68?",), ("apply", "leave it")))
    (shown,) = await front.shown()
    assert "apply" in shown
    assert "leave it" in shown


@pytest.mark.parametrize(("sound", "rings"), [(Sound.SILENT, 0), (Sound.ONCE, 1), (Sound.ALARM, 1)])
async def test_it_rings_as_loud_as_it_says(front: Front, sound: Sound, rings: int) -> None:
    await sent(front, Outgoing(("pull A",), sound=sound))
    assert await front.rang() == rings


async def test_each_message_has_an_id_of_its_own(front: Front) -> None:
    ids = [(await sent(front, Outgoing((f"{n}",)), f"k{n}")).id for n in range(3)]
    assert len(set(ids)) == 3
    assert all(ids)


async def test_a_long_text_arrives_whole(front: Front) -> None:
    lines = tuple(f"{n:03} {'x' * 60}" for n in range(120))
    await sent(front, Outgoing(lines))
    whole = "\n".join(await front.shown())
    assert [line for line in lines if line not in whole] == []


async def test_an_edit_shows_the_newer_words_and_does_not_ring(front: Front) -> None:
    receipt = await sent(front, Outgoing(("PLAN A",)))
    assert isinstance(await front.chat.edit(receipt, Outgoing(("PLAN B",))), Sent)
    assert "PLAN B" in (await front.shown())[-1]
    assert await front.rang() == 0


async def test_a_repeat_shows_once_where_the_front_end_says_so(front: Front) -> None:
    for _ in range(2):
        await sent(front, Outgoing(("pull A",)), "same key")
    assert len(await front.shown()) == (1 if front.chat.repeats_harmless else 2)


async def test_a_mention_of_somebody_is_no_trouble_where_there_are_none(front: Front) -> None:
    await sent(front, Outgoing(("pull A",), mention=(Mention(front.who, "Bo"),)))
    assert "pull A" in (await front.shown())[0]


async def test_an_answer_to_something_long_gone_arrives_all_the_same(front: Front) -> None:
    await sent(front, Outgoing(("all well",), reply_to="nothing:we:know"))
    assert "all well" in (await front.shown())[0]


# ------------------------------------------------------------------ heard


async def test_what_is_typed_is_heard_in_order_and_each_line_once(listening: Front) -> None:
    for line in ("A 38", "  b2 on ", "¿qué toca?"):
        await listening.types(line)
    messages = await heard(listening, 3)
    assert [m.text for m in messages] == ["A 38", "b2 on", "¿qué toca?"]
    assert len({m.ext_id for m in messages}) == 3


async def test_a_line_has_its_network_its_room_its_sender_and_its_time(
    listening: Front, clock: VirtualClock
) -> None:
    clock.advance(timedelta(minutes=5))
    await listening.types("A 38")
    (message,) = await heard(listening, 1)
    assert message.network == listening.chat.network
    assert (message.room, message.who) == (listening.room, listening.who)
    assert message.sent == NOON + timedelta(minutes=5)
    assert message.private


async def test_an_answer_finds_the_message_it_answers(listening: Front) -> None:
    await listening.types("status")
    (message,) = await heard(listening, 1)
    await sent(listening, Outgoing(("all well",), reply_to=message.ext_id))
    assert "all well" in (await listening.shown())[0]
