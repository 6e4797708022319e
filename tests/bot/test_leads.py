from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from bot.accounts import Accounts
from bot.cards import read_event, read_texts
from bot.dispatch import Dispatcher
from bot.leads import Leads
from bot.outbox import Outbox
from bot.ports import (
    Ambiguous,
    CrewRoom,
    Gone,
    NewSend,
    NotSent,
    Outgoing,
    Receipt,
    Rejected,
    Seat,
    Tag,
)
from core.model import Sound
from tests.bot import golden_facts
from tests.fakes import FakeChat, FakeClock, MemoryStore
from tests.flow.kitchen_cards import write_event

NOW = golden_facts.at(9)
COOK = "quick-1"
CREW = """\
[[person]]
id = "ana"
name = "Ana"
role = "chef"
shifts = [["00:00", "23:59"]]

[[person]]
id = "bo"
name = "Bo"
role = "pit"
leads = ["pit"]
languages = ["es"]
shifts = [["00:00", "23:59"]]

[[person]]
id = "cai"
name = "Cai"
role = "crew"
shifts = [["00:00", "23:59"]]
"""


class Crew:
    """Bo leads the fires, Ana is the chef; two networks, and a crew's room on the first."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.clock = folder, FakeClock(NOW)
        self.store = MemoryStore(self.clock)
        self.chats = {"alpha": FakeChat("alpha"), "beta": FakeChat("beta")}
        self.accounts = Accounts(self.store.people)
        self.dispatcher = Dispatcher(self.store, self.clock, self.accounts)
        self.outbox = Outbox(self.store, self.chats, self.clock, Leads(self.dispatcher))

    async def begin(self) -> None:
        event = write_event(self.folder, NOW)
        (event / "crew.toml").write_text(CREW, "utf-8")
        await self.dispatcher.start(COOK, read_event(event), dict(read_texts(event)), "ana")

    async def sit(self, person: str, network: str, room: str) -> None:
        await self.store.people.seat(Seat(COOK, person, network, f"{person}@{network}", room))
        await self.accounts.refresh([COOK])

    async def gather_in(self, network: str, room: str) -> None:
        await self.store.people.open_room(CrewRoom(network, room, COOK))
        await self.accounts.refresh([COOK])

    async def say(self, network: str, room: str, *texts: str, sound: Sound = Sound.ONCE) -> None:
        sends = [
            NewSend(f"c:{COOK}:{t}:x", network, room, Outgoing((t,), sound=sound), 0, must=True)
            for t in texts
        ]
        await self.store.append("", 0, (), self.clock.now(), sends)

    async def deliver(self, minutes: float = 0.0) -> None:
        """Go on for a while as `Outbox.run` does."""
        for _ in range(round(minutes * 2) + 1):
            for network in self.chats:
                await self.outbox.deliver(network)
                await self.outbox.tell_troubles()
                await self.outbox.tell_outage(network)
            self.clock.advance(timedelta(seconds=30))

    def shown(self) -> list[tuple[str, str, str]]:
        return [
            (network, s.room, s.message.text)
            for network, chat in self.chats.items()
            for s in chat.shown
        ]


@pytest.fixture
async def crew(tmp_path: Path) -> Crew:
    made = Crew(tmp_path / "event")
    await made.begin()
    return made


CLOSED = (
    "Sin entregar (Cai):\nPULL A · 12:30\nEse chat está cerrado para mí. Díselo tú, y que "
    "me escriba."
)


async def test_who_leads_the_fires_hears_once_in_their_language_of_a_closed_chat(
    crew: Crew,
) -> None:
    await crew.sit("bo", "beta", "b")
    await crew.sit("cai", "alpha", "c")
    crew.chats["alpha"].answer("c", Gone("blocked"))
    await crew.say("alpha", "c", "PULL A · 12:30")
    await crew.deliver(5)
    assert crew.shown() == [("beta", "b", CLOSED)]
    assert await crew.store.troubles() == []


async def test_a_call_into_a_closed_chat_rings_in_the_crews_room_and_later_ones_do_too(
    crew: Crew,
) -> None:
    await crew.sit("bo", "beta", "b")
    await crew.sit("cai", "alpha", "c")
    await crew.gather_in("alpha", "room")
    crew.chats["alpha"].answer("c", Gone("blocked"))
    tag = Tag("call", ("cai",), keys=("A.pull",))
    pull = Outgoing(("PULL A · 12:30",), sound=Sound.ONCE, tag=tag)
    send = NewSend(f"c:{COOK}:A.pull:cai", "alpha", "c", pull, 0, must=True)
    await crew.store.append("", 0, (), crew.clock.now(), (send,))
    await crew.deliver(5)
    aloud = [s.message for s in crew.chats["alpha"].shown if s.room == "room"]
    assert [(m.lines[0], m.sound, [p.name for p in m.mention]) for m in aloud][-1:] == [
        ("PULL A · 12:30", Sound.ONCE, ["Cai"])
    ]
    assert crew.accounts.private(COOK, "cai") is None
    assert ("beta", "b", CLOSED) in crew.shown()


async def test_the_notice_rings_only_if_what_was_lost_would_have_rung(crew: Crew) -> None:
    await crew.sit("bo", "beta", "b")
    await crew.sit("cai", "alpha", "c")
    crew.chats["alpha"].answer("c", Rejected("bad"), Rejected("bad"))
    await crew.say("alpha", "c", "board", sound=Sound.SILENT)
    await crew.deliver(1)
    (shown,) = crew.chats["beta"].shown
    assert shown.message.sound is Sound.SILENT
    crew.chats["alpha"].answer("c", Rejected("bad"), Rejected("bad"))
    await crew.say("alpha", "c", "PULL A")
    await crew.deliver(1)
    assert crew.chats["beta"].shown[-1].message.sound is Sound.ONCE


async def test_a_chat_that_closes_on_many_messages_costs_the_lead_one(crew: Crew) -> None:
    await crew.sit("ana", "beta", "a")  # Bo is nowhere: the chef hears it, in English
    await crew.sit("cai", "alpha", "c")
    crew.chats["alpha"].answer("c", Gone("blocked"))
    await crew.say("alpha", "c", "PULL A · 12:30", "PULL B · 12:34", "FLIP C · 12:36")
    await crew.deliver(5)
    ((network, room, text),) = crew.shown()
    assert (network, room) == ("beta", "a")
    assert text.splitlines() == [
        "Not delivered to Cai: 3 messages. The last:",
        "FLIP C · 12:36",
        "That chat is closed to me. Tell them, and let them write to me.",
    ]


async def test_what_may_have_arrived_is_not_called_lost(crew: Crew) -> None:
    await crew.sit("ana", "beta", "a")
    await crew.sit("cai", "alpha", "c")
    crew.chats["alpha"].answer("c", *[Ambiguous("timeout")] * 9)
    await crew.say("alpha", "c", "PULL A · 12:30")
    for n in range(5):  # the platform works, and so it is this one chat
        await crew.say("alpha", "z", f"{n}")
        await crew.deliver(0.5)
    assert [said for said in crew.shown() if said[0] == "beta"] == [
        ("beta", "a", "Perhaps not delivered to Cai:\nPULL A · 12:30\nTell them yourself.")
    ]


async def test_an_outage_of_unclear_answers_costs_no_call(crew: Crew) -> None:
    await crew.sit("cai", "alpha", "c")
    crew.chats["alpha"].answer("c", *[Ambiguous("502")] * 9)
    await crew.say("alpha", "c", "PULL A · 12:30")
    await crew.deliver(8)
    assert crew.shown() == [("alpha", "c", "PULL A · 12:30 (again) (4 min late)")]
    assert await crew.store.troubles() == []


async def test_when_the_leads_own_chat_is_closed_the_next_way_is_taken(crew: Crew) -> None:
    await crew.sit("bo", "alpha", "b")
    await crew.sit("bo", "beta", "b2")
    crew.chats["alpha"].answer("b", Gone("blocked"))
    await crew.say("alpha", "b", "PULL A · 12:30")
    await crew.deliver(1)
    ((network, room, text),) = crew.shown()
    assert (network, room) == ("beta", "b2")
    assert text.startswith("Sin entregar (Bo):")


async def test_where_nobody_who_leads_is_reached_alone_the_crew_reads_it(crew: Crew) -> None:
    await crew.gather_in("alpha", "crew")
    await crew.sit("cai", "alpha", "c")
    crew.chats["alpha"].answer("c", Gone("blocked"))
    await crew.say("alpha", "c", "PULL A · 12:30")
    await crew.deliver(1)
    assert [(n, r) for n, r, _ in crew.shown()] == [("alpha", "crew")]


async def test_a_closed_room_of_the_crew_is_told_to_the_lead(crew: Crew) -> None:
    await crew.gather_in("alpha", "crew")
    await crew.sit("ana", "alpha", "a")
    crew.chats["alpha"].answer("crew", Gone("kicked"))
    await crew.say("alpha", "crew", "plan B")
    await crew.deliver(1)
    ((_, room, text),) = crew.shown()
    assert room == "a"
    assert text.startswith("Not delivered to the crew's room:\nplan B")


async def beside_what_works(crew: Crew) -> None:
    """Go on for half an hour in which both platforms take what is for others."""
    for n in range(60):
        for network in crew.chats:
            await crew.say(network, "z", f"{network} {n} {crew.clock.now():%H%M%S}")
        await crew.deliver()


@pytest.mark.parametrize("answer", [Gone("blocked"), Rejected("bad"), Ambiguous("cut")])
async def test_a_notice_that_does_not_arrive_goes_on_to_the_next_way_and_then_ends(
    crew: Crew, answer: Receipt, caplog: pytest.LogCaptureFixture
) -> None:
    await crew.sit("bo", "alpha", "b")
    await crew.sit("ana", "beta", "a")
    await crew.gather_in("beta", "crew")
    await crew.sit("cai", "alpha", "c")
    for room in ("b", "c"):
        crew.chats["alpha"].answer(room, *[answer] * 50)
    crew.chats["beta"].answer("a", *[answer] * 50)
    await crew.say("alpha", "c", "PULL A · 12:30")
    await beside_what_works(crew)
    told = [(network, room) for network, room, text in crew.shown() if "(Cai)" in text]
    assert told == [("beta", "crew")]  # neither Bo nor Ana could be reached
    crew.chats["beta"].answer("crew", *[answer] * 50)
    crew.chats["beta"].shown.clear()
    await crew.say("alpha", "c", "PULL B · 12:40")
    await beside_what_works(crew)
    assert [said for said in crew.shown() if said[1] != "z"] == []
    assert await crew.store.troubles() == []  # told as far as it could be: no loop
    assert "notice not delivered" in caplog.text


async def test_a_kill_between_the_notice_and_its_tick_does_not_tell_it_twice(
    crew: Crew, monkeypatch: pytest.MonkeyPatch
) -> None:
    await crew.sit("bo", "beta", "b")
    await crew.sit("cai", "alpha", "c")
    crew.chats["alpha"].answer("c", Gone("blocked"))
    await crew.say("alpha", "c", "PULL A · 12:30")

    async def killed(_: str) -> None:
        raise RuntimeError("killed")

    with monkeypatch.context() as patched:
        patched.setattr(crew.store, "told", killed)
        with pytest.raises(RuntimeError):
            await crew.deliver()
    await crew.deliver(1)
    assert crew.shown() == [("beta", "b", CLOSED)]


# ------------------------------------------------------------------ a platform that is down


async def test_a_platform_that_is_down_is_told_by_another_one_and_when_it_is_back(
    crew: Crew,
) -> None:
    await crew.sit("bo", "alpha", "b")
    await crew.sit("ana", "beta", "a")
    crew.chats["alpha"].answer("b", *[NotSent("down")] * 99)
    await crew.say("alpha", "b", "PULL A · 09:00")
    await crew.deliver(10)
    ((network, room, text),) = crew.shown()
    assert (network, room) == ("beta", "a")
    assert text.splitlines() == [
        "alpha takes nothing since 09:00. What I owe there waits.",
        "Who is only there hears nothing from me: call them yourself.",
    ]
    crew.chats["alpha"].answers.clear()
    await crew.deliver(2)
    assert [(n, r) for n, r, _ in crew.shown()] == [("alpha", "b"), *[("beta", "a")] * 2]
    assert crew.shown()[-1][2] == "alpha works again. What waited goes out now."


async def test_where_everybody_is_on_the_platform_that_is_down_nothing_more_is_queued(
    crew: Crew, caplog: pytest.LogCaptureFixture
) -> None:
    await crew.sit("bo", "alpha", "b")
    crew.chats["alpha"].answer("b", *[NotSent("down")] * 20)
    await crew.say("alpha", "b", "PULL A · 09:00")
    await crew.deliver(6)
    assert "nobody can be told" in caplog.text
    crew.chats["alpha"].answers.clear()
    await crew.deliver(2)
    assert [text for *_, text in crew.shown()] == ["PULL A · 09:00 (6 min late)"]


async def test_a_cook_with_nobody_on_a_platform_hears_nothing_of_it(crew: Crew) -> None:
    await crew.sit("bo", "beta", "b")
    crew.chats["alpha"].answer("x", *[NotSent("down")] * 99)
    await crew.say("alpha", "x", "hello")
    await crew.deliver(6)
    assert crew.shown() == []
