"""The page of commands and phrases is what the code says, all of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from bot.phrases.table import ROWS, SLASHES
from bot.reference import reference

PAGE = Path(__file__).parents[2] / "deploy" / "REFERENCE.md"
COMMANDS = (
    *("demo", "chat", "rehearse", "ask", "plan", "check", "log", "serve"),
    *("backup", "restore", "verify"),
)


def test_the_page_is_not_stale() -> None:
    said = "python -m bot.reference > deploy/REFERENCE.md"
    assert PAGE.read_text("utf-8") == reference(), f"make it anew: {said}"


def test_every_phrase_stands_on_it_in_both_languages_with_its_slash_name() -> None:
    lines = reference().splitlines()
    for row in ROWS:
        assert any(row.en in x and row.es in x and f"`/{row.slash}`" in x for x in lines), row.en
    assert all(f"`/{name}`" in reference() for name in SLASHES)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_stands_on_it(command: str) -> None:
    (line,) = [x for x in reference().splitlines() if x.startswith(f"| `pitcrier {command}")]
    assert len(line.split(" | ")[1]) > 10  # it says what it does
