"""Servers that stop, refuse, forget or ask for patience; repeats; words missed while away."""

from __future__ import annotations

import asyncio
import itertools
import socket
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

import pytest
from aiohttp import ClientConnectionError

from bot.chat.matrix import SYNAPSE_DEFAULT, UNLIMITED, Matrix, State
from bot.chat.matrix.answers import raw
from bot.chat.matrix.front import LONGEST_PAUSE_S
from bot.chat.matrix.gaps import whole_timeline
from bot.chat.matrix.heard import Reactions, Scene, Seen, incoming
from bot.chat.matrix.listening import FILTER
from bot.clock import SystemClock, VirtualClock
from bot.ports import Incoming, NotSent, Outgoing, Sent, Wait
from core.model import Sound
from tests.bot.matrix.crew import (
    PATIENCE_S,
    Bot,
    NoMedia,
    Phone,
    account_of,
    bot_of,
    room_of,
    started,
)
from tests.synapse import Synapse


async def texts_in(person: Phone, room: str, last: str) -> list[str]:
    """Return what somebody reads in a room up to a last text, in order."""
    await person.reads(last)
    return [b for b in person.bodies() if b]


async def test_the_same_message_five_times_at_once_stands_there_once(
    bot: Bot, ben: Phone, room: str
) -> None:
    message = Outgoing(("pull b2",), sound=Sound.ONCE)
    receipts = await asyncio.gather(*(bot.matrix.send(room, message, "c:1") for _ in range(5)))
    assert len({r.id for r in receipts if isinstance(r, Sent)}) == 1
    await bot.matrix.send(room, Outgoing(("last",)), "c:2")
    assert await texts_in(ben, room, "last") == ["pull b2", "last"]


async def test_a_repeat_after_a_kill_and_a_server_restart_is_still_the_same_event(
    synapse: Synapse, bot: Bot, ben: Phone, room: str
) -> None:
    message = Outgoing(("pull b2",), sound=Sound.ONCE)
    first = await bot.matrix.send(room, message, "c:1")
    await bot.die()
    bot.matrix._ears = bot.matrix._mouth = None
    await synapse.restarted()
    await bot.start()
    assert await bot.matrix.send(room, message, "c:1") == first
    await bot.matrix.send(room, Outgoing(("last",)), "c:2")
    assert await texts_in(ben, room, "last") == ["pull b2", "last"]


async def test_a_server_that_stops_and_comes_back_costs_no_word(
    synapse: Synapse, bot: Bot, ben: Phone, room: str
) -> None:
    await ben.say(room, "b1 on")
    await bot.hears("b1 on")
    await asyncio.to_thread(synapse.stop)
    receipt = await bot.matrix.send(room, Outgoing(("flip b1",)), "c:1")
    assert isinstance(receipt, NotSent)
    await bot.is_("down")
    await asyncio.to_thread(synapse.start)
    await bot.is_("ready")
    await ben.say(room, "b1 off 54")
    await bot.hears("b1 off 54")
    assert isinstance(await bot.matrix.send(room, Outgoing(("flip b1",)), "c:1"), Sent)
    await ben.reads("flip b1")
    assert bot.texts() == ["b1 on", "b1 off 54"]


async def test_a_share_of_keys_cut_off_by_a_fault_does_not_hold_up_the_next_message(
    bot: Bot, ben: Phone, room: str
) -> None:
    assert bot.matrix._door is not None
    # what the library leaves behind when the server stops answering while keys are claimed
    bot.matrix._door.client.sharing_session[room] = asyncio.Event()
    assert isinstance(await bot.matrix.send(room, Outgoing(("two",)), "c:2"), NotSent)
    async with asyncio.timeout(PATIENCE_S):
        assert isinstance(await bot.matrix.send(room, Outgoing(("two",)), "c:2"), Sent)
    assert (await ben.reads("two")).decrypted


async def test_a_key_the_server_did_not_pass_on_is_shared_before_anything_is_sent_under_it(
    bot: Bot, ben: Phone, room: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert bot.matrix._door is not None
    client = bot.matrix._door.client
    passed_on = type(client)._send

    async def lossy(
        self: Any, response_class: type, method: str, path: str, *a: Any, **k: Any
    ) -> Any:
        if "/sendToDevice/m.room.encrypted/" in path:
            raise ClientConnectionError
        return await passed_on(self, response_class, method, path, *a, **k)

    monkeypatch.setattr(type(client), "_send", lossy)
    receipt = await bot.matrix.send(room, Outgoing(("pull b2",)), "c:1")
    assert isinstance(receipt, NotSent)
    assert "did not reach" in receipt.why
    monkeypatch.undo()
    assert isinstance(await bot.matrix.send(room, Outgoing(("pull b2",)), "c:1"), Sent)
    assert (await ben.reads("pull b2")).decrypted
    assert not ben.unreadable()


async def test_more_words_than_one_answer_holds_are_heard_in_order_once_each(
    bot: Bot, ben: Phone, room: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The server cuts a timeline at what we ask for; here that is ten, paged back by five."""
    short = {**FILTER, "room": {**FILTER["room"], "timeline": {"limit": 10}}}
    monkeypatch.setattr("bot.chat.matrix.listening.FILTER", short)
    monkeypatch.setattr("bot.chat.matrix.gaps.PAGE", 5)
    await ben.say(room, "before")
    await bot.hears("before")
    await bot.stop()
    said = [f"probe {n} is {40 + n} C" for n in range(26)]  # sixteen are cut off
    for text in said:
        await ben.say(room, text)
    await bot.start()
    await bot.hears(said[-1])
    assert bot.texts() == ["before", *said]


async def test_a_first_look_at_an_old_account_acts_on_nothing_said_before(
    synapse: Synapse, bot: Bot, ben: Phone, room: str, tmp_path: Path
) -> None:
    await ben.say(room, "b1 on")
    await bot.hears("b1 on")
    await bot.stop()
    fresh = bot_of(bot.matrix.account)  # the database is new: no cursor
    async with started(fresh):
        await ben.say(room, "b2 on")
        await fresh.hears("b2 on")
        assert fresh.texts() == ["b2 on"]


# ------------------------------------------------------------ the token


async def test_a_revoked_session_is_renewed_with_the_password_on_the_same_device(
    bot: Bot, ben: Phone, room: str
) -> None:
    assert bot.matrix._door is not None
    device = bot.matrix._door.client.device_id
    await raw(bot.matrix._door.client, "POST", "logout", {})
    refused = await bot.matrix.send(room, Outgoing(("flip b1",)), "c:1")
    assert isinstance(refused, NotSent)
    async with asyncio.timeout(PATIENCE_S):
        while not isinstance(await bot.matrix.send(room, Outgoing(("flip b1",)), "c:1"), Sent):
            await asyncio.sleep(0.2)
    assert bot.matrix._door.client.device_id == device
    await ben.reads("flip b1")
    await ben.say(room, "b1 flipped")
    await bot.hears("b1 flipped")
    keys = await raw(
        ben.client, "POST", "keys/query", {"device_keys": {bot.matrix.account.user: []}}
    )
    signatures = keys["device_keys"][bot.matrix.account.user][device]["signatures"]
    assert len(signatures[bot.matrix.account.user]) == 2  # its own and the account's


async def test_a_revoked_session_without_a_password_ends_listening_and_says_what_to_do(
    synapse: Synapse, tmp_path: Path
) -> None:
    user, folder = synapse.person("pitcrier"), tmp_path / "m"
    async with started(bot_of(account_of(synapse, user, folder))):
        pass
    bare = bot_of(account_of(synapse, user, folder, password=""))
    await bare.start()
    assert bare.matrix._door is not None
    await raw(bare.matrix._door.client, "POST", "logout", {})
    await bare.is_("revoked")
    assert "Give the password once more" in bare.matrix.why
    assert bare._task is not None
    await bare._task  # it ends by itself
    await bare.stop()


# ------------------------------------------------------------ patience


async def test_past_ten_messages_a_server_is_waited_for_as_it_asks(
    synapse: Synapse, lucia: Phone, tmp_path: Path
) -> None:
    user = synapse.person("pitcrier", limited=True)
    async with started(bot_of(account_of(synapse, user, tmp_path / "m"))) as bot:
        room = await room_of(bot, lucia)
        began, sent = asyncio.get_running_loop().time(), 0
        while isinstance(
            receipt := await bot.matrix.send(room, Outgoing((str(sent),)), f"r:{sent}"), Sent
        ):
            sent += 1
        passed_s = asyncio.get_running_loop().time() - began
        assert isinstance(receipt, Wait)
        assert 0 < receipt.seconds <= 6
        # by hand: ten at once, of which our coming may be one, and one more every five seconds
        assert 9 <= sent <= 11 + passed_s / 5
        again = await bot.matrix.send(room, Outgoing(("x",)), "r:x")
        assert isinstance(again, Wait)


async def test_by_our_own_count_a_server_never_has_to_refuse_and_calls_keep_their_place(
    synapse: Synapse, lucia: Phone, tmp_path: Path
) -> None:
    user = synapse.person("pitcrier", limited=True)
    account = account_of(synapse, user, tmp_path / "m", allowance=SYNAPSE_DEFAULT)
    still = VirtualClock(SystemClock().now())  # a slow machine must not earn us a place
    async with started(bot_of(account, clock=still)) as bot:
        room = await room_of(bot, lucia)
        quiet = [await bot.matrix.send(room, Outgoing((str(n),)), f"q:{n}") for n in range(9)]
        # our coming into the room was the first of ten
        assert [isinstance(r, Sent) for r in quiet] == [True] * 6 + [False] * 3
        call = Outgoing(("pull b2",), sound=Sound.ONCE)
        loud = [await bot.matrix.send(room, call, f"c:{n}") for n in range(3)]
        assert all(isinstance(r, Sent) for r in loud)
        assert isinstance(await bot.matrix.send(room, call, "c:9"), Wait)


@asynccontextmanager
async def broken_server(answer: bytes) -> AsyncIterator[tuple[str, list[float]]]:
    """Serve one answer to everything; note when it was asked."""
    asked: list[float] = []

    async def serve(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        while await reader.readline() not in {b"\r\n", b""}:
            pass
        asked.append(asyncio.get_running_loop().time())
        writer.write(answer)
        await writer.drain()
        writer.close()
        await writer.wait_closed()

    server = await asyncio.start_server(serve, "127.0.0.1", 0)
    try:
        port = server.sockets[0].getsockname()[1]
        yield f"http://127.0.0.1:{port}", asked
    finally:
        server.close()
        await server.wait_closed()


BAD_GATEWAY = (
    b"HTTP/1.1 502 Bad Gateway\r\nContent-Type: text/html\r\nConnection: close\r\n"
    b"Content-Length: 20\r\n\r\n<html>Bad Gateway\r\n\r"
)


async def test_a_page_of_a_proxy_is_asked_again_ever_more_slowly(
    synapse: Synapse, tmp_path: Path
) -> None:
    async with broken_server(BAD_GATEWAY) as (url, asked):
        account = account_of(synapse, "@pit:pit.test", tmp_path / "m", homeserver=url)
        matrix = Matrix(account, NoMedia(), SystemClock())
        await matrix.start()
        matrix._pause_s = 0.2
        listening = asyncio.create_task(anext(matrix.batches(), None))
        async with asyncio.timeout(PATIENCE_S):
            while len(asked) < 4:
                await asyncio.sleep(0.02)
        await matrix.stop()
        assert await listening is None
        gaps = [after - before for before, after in itertools.pairwise(asked)]
        assert all(gap >= pause for gap, pause in zip(gaps, (0.2, 0.4, 0.8), strict=False)), gaps


async def test_a_server_that_is_not_there_holds_up_nobody_and_stops_at_once(
    synapse: Synapse, tmp_path: Path
) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        url = f"http://127.0.0.1:{free.getsockname()[1]}"
    bot = bot_of(account_of(synapse, "@pit:pit.test", tmp_path / "m", homeserver=url))
    await bot.matrix.start()
    bot._task = asyncio.create_task(bot._listen())
    bot.matrix._pause_s = LONGEST_PAUSE_S
    await bot.is_("down")
    assert isinstance(await bot.matrix.send("!x", Outgoing(("x",)), "r:1"), NotSent)
    async with asyncio.timeout(LONGEST_PAUSE_S / 2):  # it is not waited out
        await bot.stop()
    assert bot.matrix.state is State.STOPPED
    assert bot.states == ["connecting", "down", "stopped"]


async def test_two_copies_cannot_share_one_device(bot: Bot) -> None:
    from bot.ports import StoreError

    second = bot_of(bot.matrix.account)
    with pytest.raises(StoreError, match="another Pitcrier"):
        await second.matrix.start()


async def test_no_secret_shows_in_what_the_account_prints(synapse: Synapse, tmp_path: Path) -> None:
    shown = repr(account_of(synapse, "@pit:pit.test", tmp_path, secret="oak and cherry"))
    assert "charcoal" not in shown
    assert "cherry" not in shown


def test_the_allowance_of_an_operator_is_the_pace_of_the_outbox() -> None:
    assert UNLIMITED.pace.total_per_s is None
    assert SYNAPSE_DEFAULT.pace.room_burst == 10


async def test_an_event_that_trips_us_up_costs_itself_and_not_its_neighbours(
    bot: Bot, ben: Phone, room: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def torn(seen: Seen, scene: Scene, reactions: Reactions) -> Incoming | None:
        if seen.source["content"].get("body") == "poison":
            raise RuntimeError("a bug of ours")
        return incoming(seen, scene, reactions)

    monkeypatch.setattr("bot.chat.matrix.listening.incoming", torn)
    for text in ("b2 on", "poison", "b2 off 54"):
        await ben.say(room, text)
    await bot.hears("b2 off 54")
    assert bot.texts() == ["b2 on", "b2 off 54"]


async def test_an_answer_the_library_cannot_take_is_left_out_after_three_tries(
    bot: Bot, ben: Phone, room: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    async def torn(client: Any, room: str, timeline: Any, since: str | None) -> list[Any]:
        events = await whole_timeline(client, room, timeline, since)
        if any(e.source["content"].get("body") == "poison" for e in events):
            raise KeyError("the library")
        return events

    monkeypatch.setattr("bot.chat.matrix.listening.whole_timeline", torn)
    monkeypatch.setattr("bot.chat.matrix.front.FIRST_PAUSE_S", 0.05)
    await ben.say(room, "poison")
    await bot.is_("down")
    await bot.is_("ready")
    await ben.say(room, "b2 off 54")
    await bot.hears("b2 off 54")
