"""The table is whole: every row reads its own examples, every wish has a slash name."""

from __future__ import annotations

from typing import get_args

import pytest

from bot import phrases
from bot.phrases import ROWS, SLASHES, Asked, Heard, Queried, Row, Unclear, Wished, parse
from bot.render import render
from core.facts import AddPerson, AgreeLabel, AgreeLift, Apply, BinFood, ShareTimer, StartCook, Wish
from core.facts.slips import TakeOption
from core.model import Role
from core.words.vocabulary import TRADE, spellings
from tests.bot.ears import HARVEST, WEDDING

EXAMPLES = [(row, text) for row in ROWS for text in (row.en, row.es)]


def _made(heard: Heard) -> str:
    match heard:
        case Wished(wishes=(wish,)):
            return type(wish).__name__
        case Queried(what=what):
            return what
        case _:
            return type(heard).__name__


@pytest.mark.parametrize(("row", "text"), EXAMPLES, ids=[f"{r.slash}:{t}" for r, t in EXAMPLES])
def test_a_row_reads_its_own_example_as_it_says(row: Row, text: str) -> None:
    ear = HARVEST if any(name in text for name in ("P1", "b2")) else WEDDING
    assert _made(parse(text, ear)) == row.makes


FREE = [(r, t) for r, t in EXAMPLES if not t.startswith(("/", "[")) and r.makes != "Unclear"]


@pytest.mark.parametrize(("row", "text"), FREE, ids=[f"{r.slash}:{t}" for r, t in FREE])
def test_an_example_reads_the_same_in_capitals_and_with_swearing(row: Row, text: str) -> None:
    ear = HARVEST if any(name in text for name in ("P1", "b2")) else WEDDING
    assert _made(parse(f"{text.upper()} FFS", ear)) == row.makes


def test_every_wish_can_be_said_and_has_a_slash_name() -> None:
    made = {row.makes for row in ROWS if row.slash in SLASHES}
    # A cook is started by the edge from its cards; these stand behind a tap on what was shown.
    tapped = {Apply, TakeOption, AgreeLift, AgreeLabel, BinFood, ShareTimer}
    door = {AddPerson}  # heard before the cook is: see bot/door
    apart = {StartCook, *tapped, *door}
    spoken = {kind.__name__ for kind in get_args(Wish) if kind not in apart}
    assert spoken <= made


def test_every_slash_name_has_a_row() -> None:
    assert set(SLASHES) == {row.slash for row in ROWS} | {"ask"}


@pytest.mark.parametrize("slash", SLASHES)
def test_a_slash_name_alone_is_answered(slash: str) -> None:
    assert isinstance(parse(f"/{slash}", WEDDING), Wished | Queried | Unclear)


@pytest.mark.parametrize(
    ("slashed", "free"),
    [
        ("/on A", "A on"),
        ("/off A 46", "A off 46"),
        ("/heads +40", "+40"),
        ("/heads 360", "now 360"),
        ("/plates 14:15", "plates 14:15"),
        ("/late 25", "25 late"),
        ("/temp A 38", "A 38"),
        ("/check A 38", "A 38"),
        ("/light smoker", "light smoker"),
        ("/flip A", "flip A"),
        ("/pull A", "pull A"),
        ("/done A", "A done"),
        ("/undo", "undo"),
        ("/status@somebot", "status"),
        ("!next", "next"),
        ("/who", "who is on"),
        ("/sos", "sos"),
    ],
)
def test_a_slash_name_says_the_same_as_free_words(slashed: str, free: str) -> None:
    assert parse(slashed, WEDDING) == parse(free, WEDDING)


def test_ask_hands_the_words_on() -> None:
    assert parse("/ask 5to1 18L", WEDDING) == Asked("5to1 18L")


def test_a_slash_name_nobody_has_is_answered_with_help() -> None:
    assert parse("/frobnicate now", WEDDING) == Queried("help")


@pytest.mark.parametrize("row", ROWS, ids=[f"{r.slash}:{r.en}" for r in ROWS])
def test_the_words_of_a_row_are_trade_words(row: Row) -> None:
    assert set(row.words) <= set(TRADE)


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("role", [None, Role.CHEF, Role.CREW])
def test_help_is_short_and_every_example_in_it_is_understood(lang: str, role: Role | None) -> None:
    lines = phrases.help(lang, role)
    assert 3 <= len(lines) <= 4
    for line in lines:
        text = render(line, lang, WEDDING.zone)
        assert len(text) <= 160
        for example in text.partition(": ")[2].split(" · "):
            heard = parse(example, HARVEST if "b2" in example or "P1" in example else WEDDING)
            assert isinstance(heard, Wished | Queried | Asked), example


def test_only_who_may_change_heads_is_told_how() -> None:
    changes = [
        line for line in phrases.help("en", Role.CREW) if "360" in render(line, "en", WEDDING.zone)
    ]
    assert changes == []


SPELLED = [
    (row, spelling)
    for row in ROWS
    if row.makes in {"Undo", "AnswerCall", "CloseCook", "status", "plan", "next", "me", "who"}
    for word in row.words
    for lang in ("en", "es")
    for spelling in spellings(TRADE[word], lang)
    if spelling != "ready"  # on its own it may be the person who is ready
]


@pytest.mark.parametrize(("row", "spelling"), SPELLED, ids=[f"{r.makes}:{s}" for r, s in SPELLED])
def test_every_spelling_of_a_row_is_read_by_it(row: Row, spelling: str) -> None:
    assert _made(parse(spelling, WEDDING)) == row.makes
