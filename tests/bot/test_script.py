"""Scripts of a day: form, order, clocks that change."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from bot.cards import read_event
from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from bot.script import ScriptError, read_script

CARDS = read_event(GOLDEN_WEDDING)


@pytest.mark.parametrize("folder", [GOLDEN_WEDDING, HARVEST_SUPPER])
def test_both_example_days_can_be_read(folder: Path) -> None:
    cards = read_event(folder)
    lines = read_script((folder / "day.txt").read_text("utf-8"), cards, "day.txt")
    assert len(lines) > 40
    assert lines[-1].at > lines[0].at


def test_a_line_has_a_day_a_time_a_name_and_words() -> None:
    (line,) = read_script("T-1 15:03 carmen: brine on  ", CARDS)
    assert (line.who, line.text, line.number) == ("carmen", "brine on", 1)
    assert line.at.isoformat() == "2026-06-12T14:03:00+00:00"  # by hand: BST is UTC+1


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("noon Bo: A on", "not '[T-N ]HH:MM Name: message'"),
        ("25:00 Bo: A on", "25:00 is no time"),
        ("12:00 Zoe: A on", "nobody called 'Zoe'"),
        ("12:00 Bo: A on\n11:00 Bo: A off", "goes back in time"),
        ("12:00 Bo: " + "x" * 5000, "longer than"),
        ("12:00+05:00 Bo: hi", "not the offset of that day"),
    ],
)
def test_a_bad_line_is_named_with_its_number(text: str, what: str) -> None:
    with pytest.raises(ScriptError) as caught:
        read_script(text, CARDS, "day.txt")
    assert what in str(caught.value)
    assert str(caught.value).startswith(f"day.txt:{text.count(chr(10)) + 1}:")


def test_a_time_the_clocks_skip_is_an_error() -> None:
    spring = replace(CARDS, event=replace(CARDS.event, day=date(2026, 3, 29)))
    with pytest.raises(ScriptError, match="does not exist"):
        read_script("01:30 Bo: A on", spring)


def test_a_time_that_comes_twice_is_the_first_unless_an_offset_follows() -> None:
    autumn = replace(CARDS, event=replace(CARDS.event, day=date(2026, 10, 25)))
    first, second = read_script("01:30 Bo: A on\n01:30+00:00 Bo: A off", autumn)
    assert first.at.isoformat() == "2026-10-25T00:30:00+00:00"  # by hand: BST, UTC+1
    assert second.at.isoformat() == "2026-10-25T01:30:00+00:00"  # by hand: GMT
