"""Coming in, rooms and going, said the way crews say it; on a store without a disk."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from datetime import timedelta

import pytest

from bot.accounts import Accounts
from bot.cards import read_event, read_texts
from bot.dispatch import Dispatcher
from bot.door import FIRST_CODE_GOOD, Door, entry
from bot.examples import GOLDEN_WEDDING
from bot.ports import CrewRoom, Happened, Incoming, Invitation, Seat, Sent
from bot.replies import Voice, notice_sends
from core.cook import Notice
from core.model import Label, Moment, Sound, say
from tests.fakes import FakeClock, MemoryStore

COOK = "golden-wedding-1"
ROOM = "-100"


class Site:
    """One cook, one store, and whoever types."""

    def __init__(self) -> None:
        cards = read_event(GOLDEN_WEDDING)
        self.clock = FakeClock(cards.event.instant(Moment(0, 9, 0)))
        self.store = MemoryStore(self.clock)
        self.accounts = Accounts(self.store.people)
        self.dispatcher = Dispatcher(self.store, self.clock, self.accounts)
        self.door = Door(self.store, self.accounts, {"fake": lambda code: f"link/{code}"})
        self.dispatcher.door = self.door
        self._n = 0
        self.rung: list[tuple[str, str, tuple[str, ...]]] = []

    async def open(self) -> None:
        cards, texts = read_event(GOLDEN_WEDDING), dict(read_texts(GOLDEN_WEDDING))
        await self.dispatcher.start(COOK, cards, texts, "ana")
        await self.accounts.refresh([COOK])

    async def say(
        self,
        who: str,
        text: str,
        *,
        room: str | None = None,
        happened: Happened = Happened.SAID,
        reply_to: str | None = None,
        choice: str | None = None,
    ) -> list[str]:
        """Say something, alone with the bot or in a room; return what is answered there."""
        self._n += 1
        message = Incoming(
            "fake",
            f"m{self._n}",
            room or f"dm-{who}",
            who,
            text,
            self.clock.now(),
            reply_to=reply_to,
            choice=choice,
            private=room is None,
            name=who,
            happened=happened,
        )
        await self.dispatcher.hear((message,))
        return await self.heard(message.room)

    async def heard(self, room: str) -> list[str]:
        """Return what the bot has said in a room since last asked."""
        said: list[str] = []
        self.rung = []
        while owed := await self.store.claim("fake", self.clock.now()):
            for row in owed:
                if row.room == room:
                    said += row.message.lines
                if row.message.sound is not Sound.SILENT:
                    names = tuple(m.name for m in row.message.mention)
                    self.rung.append((row.room, row.message.lines[0], names))
                await self.store.settle(row.key, Sent(f"id:{row.key}"), self.clock.now())
        return said

    async def chef_in(self) -> None:
        until = self.clock.now() + FIRST_CODE_GOOD
        code = await self.door.code_for(Invitation(COOK, "ana", until))
        await self.say("77", f"join {code}")


@pytest.fixture
async def site() -> Site:
    made = Site()
    await made.open()
    return made


def code_in(lines: list[str]) -> str:
    return next(line.rsplit(" ", 1)[1] for line in lines if "join " in line)


async def test_a_stranger_is_told_whom_to_ask(site: Site) -> None:
    assert await site.say("9", "A on") == ["9 is not on this crew. Ask the lead to add you."]


async def test_the_chef_comes_in_by_the_first_code(site: Site) -> None:
    until = site.clock.now() + FIRST_CODE_GOOD
    code = await site.door.code_for(Invitation(COOK, "ana", until))
    said = await site.say("77", f"/start {code.lower()}")
    assert said == ["You are Ana. Your calls ring here."]
    assert (await site.say("77", "status"))[0].startswith("Plates 14:00, 60 heads.")


async def test_a_code_works_once(site: Site) -> None:
    await site.chef_in()
    code = code_in(await site.say("77", "add Dev"))
    assert await site.say("88", f"join {code}") == ["You are Dev. Your calls ring here."]
    assert (await site.say("99", f"join {code}"))[0].startswith("That code is used or too old.")
    assert site.accounts.account(COOK, "dev", "fake") == "88"


async def test_a_code_is_too_old_after_a_quarter_of_an_hour(site: Site) -> None:
    await site.chef_in()
    code = code_in(await site.say("77", "add Dev"))
    site.clock.set(site.clock.now() + timedelta(minutes=15))
    assert (await site.say("88", f"join {code}"))[0].startswith("That code is used or too old.")


async def test_somebody_new_is_on_the_crew_in_one_line_and_can_report(site: Site) -> None:
    await site.chef_in()
    said = await site.say("77", "/add Sam, runner")
    assert said[0].startswith("Sam sends me: join ")
    assert "link/" in said[2]
    assert await site.say("55", f"join {code_in(said)}") == ["You are Sam. Your calls ring here."]
    await site.say("55", "smoker lit 09:00")
    cook = await site.dispatcher.cook(COOK)
    assert cook.cards is not None
    assert [(p.name, p.role.value) for p in cook.cards.crew if p.id == "sam"] == [("Sam", "runner")]
    assert cook.entries[-1].by == "sam"


async def test_who_leads_nothing_cannot_add_people(site: Site) -> None:
    await site.chef_in()
    code = code_in(await site.say("77", "add Eli"))
    await site.say("88", f"join {code}")
    assert await site.say("88", "/add Mallory") == ["Not yours to change: the crew. Ask Ana."]
    cook = await site.dispatcher.cook(COOK)
    assert cook.cards is not None
    assert "Mallory" not in {p.name for p in cook.cards.crew}


async def test_who_is_removed_is_not_heard_any_more(site: Site) -> None:
    await site.chef_in()
    code = code_in(await site.say("77", "add Dev"))
    await site.say("88", f"join {code}")
    said = await site.say("77", "/remove dev")
    assert said == ["Dev is not heard any more. A new code lets them in again."]
    assert (await site.say("88", "status"))[0].startswith("88 is not on this crew.")


async def test_the_room_the_chef_lets_us_into_hears_the_cook(site: Site) -> None:
    await site.chef_in()
    said = await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    assert said[0] == f"This room hears {COOK} now. Say /join to say who you are."
    assert said[1] == f"Esta sala oye {COOK} ahora. Di /join para decir quién eres."
    assert said[2].startswith("Orchard golden wedding")
    assert list(await site.store.people.rooms()) == [CrewRoom("fake", ROOM, COOK)]


async def test_in_the_crews_room_people_say_who_they_are(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    said = await site.say("88", "/join", room=ROOM)
    assert said[0] == "Who are you? Tap, or say: /join and your name"
    assert "Eli" in said[1]
    said = await site.say("88", "soy eli", room=ROOM)
    assert said[0] == "You are Eli. Your calls ring in this room."
    assert said[1] == "To have them on your own screen, open: link/me"


async def test_a_tap_on_a_name_is_enough(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    await site.say("88", "/join", room=ROOM)
    said = await site.say("88", "", room=ROOM, reply_to="id:r:3:0", choice="1")
    assert said[0] == "You are Eli. Your calls ring in this room."


async def test_where_only_commands_are_heard_a_name_goes_with_the_command(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    said = await site.say("88", "/join eli", room=ROOM)
    assert said[0] == "You are Eli. Your calls ring in this room."


async def test_nobody_becomes_a_lead_or_somebody_else_by_saying_so(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    assert await site.say("66", "I'm Bo", room=ROOM) == ["Bo needs a code. Ask the lead."]
    await site.say("88", "soy eli", room=ROOM)
    assert await site.say("66", "soy eli", room=ROOM) == ["Eli needs a code. Ask the lead."]


async def test_talk_of_strangers_in_the_room_is_left_alone(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    assert await site.say("66", "nice weather today", room=ROOM) == []


async def test_a_call_rings_where_a_person_opened_a_chat(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    seat = Seat(COOK, "bo", "fake", "21")
    await site.store.people.seat(seat)
    await site.accounts.refresh()
    assert site.accounts.private(COOK, "bo") is None
    await site.say("21", "hola")
    assert site.accounts.private(COOK, "bo") is not None


async def test_somebody_without_a_chat_is_rung_by_name_in_the_room(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    await site.store.people.seat(Seat(COOK, "bo", "fake", "21"))
    await site.accounts.refresh()
    await site.heard(ROOM)
    cook = await site.dispatcher.cook(COOK)
    assert cook.plan is not None
    site.clock.set(next(t.start for t in cook.plan.tasks if t.id == "light/smoker"))
    await site.dispatcher.ring(site.clock.now())
    owed = [r for r in await site.store.claim("fake", site.clock.now()) if r.room == ROOM]
    assert ("21", "Bo") in [(m.who, m.name) for row in owed for m in row.message.mention]


async def test_a_thumb_under_a_call_answers_that_call(site: Site) -> None:
    await site.chef_in()
    await site.store.people.seat(Seat(COOK, "bo", "fake", "21", "dm-21"))
    await site.accounts.refresh()
    cook = await site.dispatcher.cook(COOK)
    assert cook.plan is not None
    site.clock.set(next(t.start for t in cook.plan.tasks if t.id == "light/smoker"))
    await site.dispatcher.ring(site.clock.now())
    await site.heard("dm-21")
    made = [m for m in (await site.dispatcher.cook(COOK)).calls.values() if "bo" in m.call.to]
    key = f"id:c:{COOK}:{made[0].call.key}:bo"
    await site.say("21", "👍", happened=Happened.REACTED, reply_to=key)
    answered = (await site.dispatcher.cook(COOK)).calls[made[0].call.key]
    assert answered.answered_by == "bo"


async def test_a_heart_is_not_an_answer(site: Site) -> None:
    await site.chef_in()
    before = (await site.dispatcher.cook(COOK)).seq
    assert await site.say("77", "❤", happened=Happened.REACTED, reply_to="id:x") == []
    assert (await site.dispatcher.cook(COOK)).seq == before


async def test_who_asks_to_be_forgotten_is_an_id_without_a_name_from_then_on(site: Site) -> None:
    await site.chef_in()
    code = code_in(await site.say("77", "add Dev"))
    await site.say("88", f"join {code}")
    await site.say("88", "status")
    entries = (await site.dispatcher.cook(COOK)).entries
    said = await site.say("88", "forget me")
    assert said[1] == "To erase your name, your address and your words, say: forget me now"
    await site.say("88", "forget me now")
    assert site.accounts.account(COOK, "dev", "fake") is None
    assert "dev" not in await site.store.people.names(COOK)
    assert await site.store.verify(f"cook:{COOK}") is None
    assert (await site.dispatcher.cook(COOK)).entries == entries


async def test_being_put_out_of_the_room_is_told_to_the_chef(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    await site.heard("dm-77")
    await site.say("1", "", room=ROOM, happened=Happened.REMOVED)
    assert site.accounts.crew_rooms(COOK) == ()
    assert site.rung == [("dm-77", "I was put out of the crew's room.", ())]


# ------------------------------------------------------------------ who cannot be reached alone


async def lit(site: Site) -> None:
    """Let the call to light the smoker fall due: it is Bo's."""
    await site.dispatcher.ring(site.clock.now())
    await site.heard(ROOM)
    cook = await site.dispatcher.cook(COOK)
    assert cook.plan is not None
    site.clock.set(next(t.start for t in cook.plan.tasks if t.id == "light/smoker"))
    await site.dispatcher.ring(site.clock.now())


async def with_bo_alone(site: Site) -> None:
    """Take a room, and let Bo have a chat with the bot beside it."""
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    await site.store.people.seat(Seat(COOK, "bo", "fake", "21", "dm-21"))
    await site.accounts.refresh()


async def test_who_closes_their_chat_is_rung_in_the_room_and_the_chef_is_told(site: Site) -> None:
    await with_bo_alone(site)
    await site.say("21", "", happened=Happened.REMOVED)
    told = "Bo closed their chat with me. Their calls ring in the crew's room."
    assert site.rung == [("dm-77", told, ())]
    assert site.accounts.crew_rooms(COOK) != ()
    await lit(site)
    await site.heard(ROOM)
    assert (ROOM, "LIGHT smoker · 115 °C · 09:30", ("Bo",)) in site.rung


async def test_of_the_chefs_own_closed_chat_who_leads_the_fires_is_told(site: Site) -> None:
    await with_bo_alone(site)
    await site.say("77", "", happened=Happened.REMOVED)
    told = "Ana closed their chat with me. Their calls ring in the crew's room."
    assert site.rung == [("dm-21", told, ())]


async def test_who_opens_their_chat_again_is_rung_there_again(site: Site) -> None:
    await with_bo_alone(site)
    await site.say("21", "", happened=Happened.REMOVED)
    said = await site.say("21", "", happened=Happened.ADDED)
    assert said == ["You are in. 'help' says what I hear."]
    await lit(site)
    await site.heard("dm-21")
    assert ("dm-21", "LIGHT smoker · 115 °C · 09:30", ()) in site.rung


async def test_a_word_that_must_ring_reaches_who_has_no_chat_by_name_in_the_room(
    site: Site,
) -> None:
    await with_bo_alone(site)
    await site.store.people.unseat(Seat(COOK, "bo", "fake", "21"))
    await site.store.people.seat(Seat(COOK, "bo", "fake", "21"))
    await site.accounts.refresh()
    voice = Voice(site.accounts, COOK, (await site.dispatcher.cook(COOK)).cards)
    notice = Notice("x", ("bo", "ana"), (say("wind {what}", what=Label("up")),), Sound.ALARM)
    sends = {s.room: s.message for s in notice_sends(voice, (notice,))}
    assert sorted(sends) == [ROOM, "dm-77"]
    assert [m.name for m in sends[ROOM].mention] == ["Bo"]
    quiet = replace(notice, sound=Sound.SILENT)
    assert [s.room for s in notice_sends(voice, (quiet,))] == ["dm-77"]


async def test_who_leaves_the_room_without_a_chat_has_to_be_called(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    await site.say("88", "soy eli", room=ROOM)
    await site.say("88", "", room=ROOM, happened=Happened.LEFT)
    told = "Eli left the crew's room and has no chat with me: call them."
    assert site.rung == [("dm-77", told, ())]


# ------------------------------------------------------------------ topics of one chat


async def test_the_crew_is_heard_in_every_topic_and_rung_in_the_one_that_was_taken(
    site: Site,
) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    await site.say("77", "/here", room=f"{ROOM}/7")
    assert [a.room for a in site.accounts.crew_rooms(COOK)] == [f"{ROOM}/7"]
    said = await site.say("88", "/join eli", room=f"{ROOM}/9")
    assert said[0] == "You are Eli. Your calls ring in this room."
    assert (await site.say("88", "/status", room=ROOM))[0].startswith("Plates 14:00, 60 heads.")


async def test_put_out_of_a_chat_we_are_out_of_its_topics(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "/here", room=f"{ROOM}/7")
    await site.say("77", "", room=ROOM, happened=Happened.REMOVED)
    assert site.accounts.crew_rooms(COOK) == ()


async def test_two_cooks_in_two_topics_are_not_mixed_up(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "/here", room=f"{ROOM}/7")
    await site.store.people.open_room(CrewRoom("fake", f"{ROOM}/8", "other-1"))
    await site.accounts.refresh()
    assert await site.say("77", "status", room=f"{ROOM}/9") == []


# ------------------------------------------------------------------ what we do not hear


class Ears:
    """Implements Hears by script."""

    def __init__(self, hears: bool | None, *, answers: bool = True) -> None:
        self._hears, self._answers = hears, answers

    async def hears(self, room: str) -> bool | None:
        assert room == ROOM
        if not self._answers:
            await asyncio.Event().wait()
        return self._hears


DEAF = (
    "Here I hear only lines with / in front: /on b2, /next, /help.",
    "Make me an administrator of this group and I hear all of it.",
)


@pytest.mark.parametrize(("hears", "lines"), [(False, 2), (True, 0), (None, 0)])
async def test_a_room_that_keeps_words_from_us_is_told_what_we_hear(
    site: Site, hears: bool | None, lines: int
) -> None:
    site.door.chats = {"fake": Ears(hears)}
    await site.chef_in()
    said = await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    assert [line for line in said if line in DEAF] == list(DEAF[:lines])


async def test_a_link_to_ones_own_chat_opens_it(site: Site) -> None:
    await site.chef_in()
    await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    await site.say("88", "soy eli", room=ROOM)
    assert await site.say("88", "/start me") == ["You are in. 'help' says what I hear."]
    assert site.accounts.private(COOK, "eli") is not None


async def test_a_platform_that_does_not_say_holds_nobody_up(
    site: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(entry, "LONGEST_ASKING_S", 0.01)
    site.door.chats = {"fake": Ears(hears=False, answers=False)}
    await site.chef_in()
    said = await site.say("77", "", room=ROOM, happened=Happened.ADDED)
    assert said[0].startswith("This room hears")
    assert not set(DEAF) & set(said)


async def test_an_edit_is_no_report_and_says_so_where_it_was_meant_for_us(site: Site) -> None:
    await with_bo_alone(site)
    before = (await site.dispatcher.cook(COOK)).seq
    told = ["An edit changes nothing I booked. Say it again, or 'undo' first."]
    assert await site.say("21", "light smoker", happened=Happened.EDITED) == told
    assert await site.say("21", "/light smoker", room=ROOM, happened=Happened.EDITED) == told
    assert await site.say("21", "nice day", room=ROOM, happened=Happened.EDITED) == []
    assert await site.say("66", "light smoker", happened=Happened.EDITED) == []
    assert (await site.dispatcher.cook(COOK)).seq == before


async def test_a_bug_that_cannot_cross_threads_still_ends_in_an_apology(
    site: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    await site.chef_in()

    def lost(*_: object) -> None:
        raise StopIteration

    monkeypatch.setattr("bot.understand.wished", lost)
    said: list[str] = []
    for _ in range(3):
        said += await site.say("77", "plates 14:30")
    assert said == ["Something broke on my side. Not booked: please say it again."]
