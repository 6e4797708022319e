"""Whatever stands in a card, reading it gives cards or a `CardsError`, and nothing else."""

from __future__ import annotations

import json
import math
import tempfile
import tomllib
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from bot.cards import CardError, CardsError, check, read_event
from bot.cards.defaults import keys
from bot.cards.lines import key_lines
from tests.bot.cards_texts import SHORTEST, folder

FILES = st.sampled_from(sorted(SHORTEST))
KEYS = sorted({key for _, _, key in keys()})
TABLES = sorted({table.strip("[]") for _, table, _ in keys()})

words = st.one_of(
    st.text(max_size=20),
    st.sampled_from(["90 min", "-5 C", "1e400 kg", "T-1 17:00", "02:30", "L1", "grill", "chops"]),
    st.sampled_from(["4 pieces", "200 x 70 cm", "8 %", "us", "1,200 g", "../x", "A\u0301"]),
)
bare = st.one_of(
    st.integers(), st.booleans(), st.floats(), words, st.just("2026-06-13"), st.just("inf kg")
)
values = st.recursive(
    bare,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=6,
)


def written(value: object) -> str:
    """Return a value as TOML."""
    if isinstance(value, dict):
        return "{" + ", ".join(f"{written(k)} = {written(v)}" for k, v in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(written(item) for item in value) + "]"
    if isinstance(value, float):
        return repr(value) if math.isfinite(value) else "nan"
    if isinstance(value, str):
        return json.dumps(value).replace("\x7f", "\\u007f")
    return json.dumps(value)


tables = st.lists(
    st.tuples(
        st.sampled_from(TABLES),
        st.booleans(),
        st.dictionaries(st.sampled_from(KEYS) | st.text(max_size=8), values, max_size=6),
    ),
    max_size=5,
)


def card(parts: list[tuple[str, bool, dict[str, object]]]) -> str:
    """Return a card with these tables."""
    lines: list[str] = []
    for table, many, rows in parts:
        lines.append(f"[[{table}]]" if many else f"[{table}]")
        lines += [f"{written(key)} = {written(value)}" for key, value in rows.items()]
    return "\n".join(lines)


def outcome(texts: dict[str, str | bytes]) -> None:
    """Read an event of these texts; anything but cards or a `CardsError` fails the test."""
    with tempfile.TemporaryDirectory() as at:
        event = folder(Path(at))
        for name, text in texts.items():
            data = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
            (event / name).write_bytes(data)
        told: tuple[CardError, ...] = ()
        try:
            read_event(event)
        except CardsError as bad:
            told = bad.errors
        errors = check(event)
        assert errors == told
        for error in errors:
            assert str(error).isprintable()
            assert error.line >= 1


@settings(deadline=None)  # the disk may be slow
@given(FILES, st.binary(max_size=200))
def test_any_bytes_are_cards_or_an_error(name: str, data: bytes) -> None:
    outcome({name: data})


@settings(deadline=None)
@given(FILES, st.text(max_size=200))
def test_any_text_is_cards_or_an_error(name: str, text: str) -> None:
    outcome({name: text})


@settings(max_examples=150, deadline=None)
@given(FILES, tables)
def test_any_toml_is_cards_or_an_error(
    name: str, parts: list[tuple[str, bool, dict[str, object]]]
) -> None:
    outcome({name: card(parts)})


@settings(max_examples=150, deadline=None)
@given(FILES, st.integers(0, 11), values)
def test_any_value_under_a_real_key_is_cards_or_an_error(
    name: str, line: int, value: object
) -> None:
    lines = SHORTEST[name].splitlines()
    at = line % len(lines)
    if "=" in lines[at]:
        lines[at] = f"{lines[at].split('=')[0]} = {written(value)}"
    outcome({name: "\n".join(lines)})


@settings(max_examples=100, deadline=None)
@given(FILES, st.integers(0, 300), st.text(max_size=6))
def test_a_slip_of_the_keyboard_is_cards_or_an_error(name: str, at: int, slip: str) -> None:
    text = SHORTEST[name]
    outcome({name: text[:at] + slip + text[at + 1 :]})


@settings(max_examples=150, deadline=None)
@given(tables)
def test_every_key_of_a_table_is_found_on_its_line(
    parts: list[tuple[str, bool, dict[str, object]]],
) -> None:
    text = card(parts)
    try:
        data = tomllib.loads(text)
    except (ValueError, RecursionError):
        return
    lines = text.split("\n")
    found = key_lines(text)
    for table, rows in data.items():
        entries = enumerate(rows) if isinstance(rows, list) else [(None, rows)]
        for index, row in entries:
            head = (table,) if index is None else (table, index)
            for key in row:
                # An escaped key is found at its table's line: exact for every key a card may have.
                if key.isascii() and key.isprintable() and not {'"', "\\"} & set(key):
                    line = lines[found[*head, key] - 1]
                    assert line.startswith(written(key))
