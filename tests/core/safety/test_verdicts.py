"""Verdicts by rule book, English and Spanish, °C and °F, with the clause each was derived from.

The expected word of every row was read off the clause beside it, never off the program.
"""

from __future__ import annotations

import csv
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

import pytest

from core.ask import AskContext, ask
from core.model import Profile

ROWS = list(
    csv.DictReader(Path(__file__).with_name("verdicts.csv").read_text("utf-8").splitlines())
)
NOON = datetime(2026, 6, 13, 12, tzinfo=UTC)


@pytest.mark.parametrize("profile", ["", *Profile])
@pytest.mark.parametrize("lang", ["en", "es"])
def test_every_verdict_is_the_clause_s(profile: str, lang: str) -> None:
    book = Profile(profile) if profile else None
    wrong = []
    for row in ROWS:
        if (row["profile"], row["lang"]) != (profile, lang):
            continue
        answer = ask(row["text"], AskContext(profile=book, lang=lang, now=NOON))
        if answer.verdict != row["verdict"]:
            wrong.append((row["text"], row["clause"], row["verdict"], answer.verdict))
    assert wrong == []


def test_there_are_hundreds_of_them_for_every_rule_book_language_and_scale() -> None:
    books = Counter(row["profile"] for row in ROWS)
    scales = Counter(" F" in row["text"] for row in ROWS)
    assert len(ROWS) >= 300
    assert set(books) == {"", *Profile}
    assert min(scales.values()) >= 150
    assert all(row["clause"] for row in ROWS)


def test_every_answer_starts_with_its_verdict() -> None:
    for row in ROWS[::7]:
        book = Profile(row["profile"]) if row["profile"] else None
        answer = ask(row["text"], AskContext(profile=book, lang=row["lang"], now=NOON))
        assert answer.lines[0].text.startswith("{verdict}"), row["text"]


def test_an_ok_never_rests_on_a_row_from_memory_or_of_the_house() -> None:
    for row in ROWS:
        book = Profile(row["profile"]) if row["profile"] else None
        answer = ask(row["text"], AskContext(profile=book, lang=row["lang"], now=NOON))
        if answer.verdict == "OK":
            assert answer.sources, row["text"]
            assert all(source.status in {"C", "C2"} for source in answer.sources), row["text"]
            assert book is not None, row["text"]


def test_no_answer_cites_another_rule_book() -> None:
    for row in ROWS:
        if not row["profile"]:
            continue
        context = AskContext(profile=Profile(row["profile"]), lang=row["lang"], now=NOON)
        for source in ask(row["text"], context).sources:
            assert source.id.split(".")[0] in {row["profile"], "house"}, (row["text"], source.id)
