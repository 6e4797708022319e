"""The golden wedding once more, through Telegram's double: every phone must ring as rehearsed.

Expected: the rehearsal of the same script, whose own tests hold it against the printed day.
"""

from __future__ import annotations

import asyncio
from pathlib import Path

import pytest

from bot.examples import GOLDEN_WEDDING
from core.model import Sound
from tests.flow.days import Day, example_day
from tests.flow.telegram_day import GROUP, TelegramDay, play

CREW = ("ana", "bo", "carmen", "dev", "eli")
LONGEST_LATE_S = 60.0
"""What the platform's pace may cost a message on the busiest minute of the day."""


@pytest.fixture(scope="module")
def rehearsed() -> Day:
    return example_day(GOLDEN_WEDDING)


@pytest.fixture(scope="module")
def day(rehearsed: Day, tmp_path_factory: pytest.TempPathFactory) -> TelegramDay:
    script = (GOLDEN_WEDDING / "day.txt").read_text("utf-8")
    database: Path = tmp_path_factory.mktemp("telegram") / "day.db"
    return asyncio.run(play(GOLDEN_WEDDING, script, rehearsed.shown[0].at, database))


@pytest.mark.parametrize("who", [*CREW, "client"])
def test_every_phone_shows_alone_what_it_showed_in_the_rehearsal(
    rehearsed: Day, day: TelegramDay, who: str
) -> None:
    phone = day.phones[who]
    alone = [seen.text for seen in phone.seen if seen.chat == phone.user.id]
    assert alone == [shown.message.text for shown in rehearsed.to(who)]


@pytest.mark.parametrize("who", CREW)
def test_every_phone_rings_when_it_rang_in_the_rehearsal(
    rehearsed: Day, day: TelegramDay, who: str
) -> None:
    phone = day.phones[who]
    rang = [seen for seen in phone.rung() if seen.chat == phone.user.id]
    wanted = rehearsed.rung(who)
    assert [seen.text for seen in rang] == [shown.message.text for shown in wanted]
    late = [(s.at - w.at).total_seconds() for s, w in zip(rang, wanted, strict=True)]
    assert all(0 <= seconds <= LONGEST_LATE_S for seconds in late), late


def test_the_group_tells_the_same_story_and_rings_as_seldom(
    rehearsed: Day, day: TelegramDay
) -> None:
    story = [s for s in rehearsed.shown if s.room == "crew"]
    seen = [s for s in day.phones["ana"].seen if s.chat == GROUP]
    assert [s.text for s in seen] == [s.message.text for s in story]
    rings = [s.message.text for s in story if s.message.sound is not Sound.SILENT]
    assert [s.text for s in seen if s.rang] == rings


def test_the_log_holds_the_same_facts(rehearsed: Day, day: TelegramDay) -> None:
    facts = [type(entry.fact).__name__ for entry in day.cook.entries]
    assert facts == [type(entry.fact).__name__ for entry in rehearsed.cook.entries]


def test_the_platform_never_had_to_ask_for_patience(day: TelegramDay) -> None:
    assert day.api.flood.refused == 0


def test_every_tap_was_answered_and_its_buttons_are_gone(day: TelegramDay) -> None:
    assert len(day.api.methods.answered) == 3  # by hand: Ana's three [1] of the script
    assert [words for _, words in day.api.methods.answered] == ["", "", ""]
