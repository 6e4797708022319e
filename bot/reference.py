"""`python -m bot.reference > deploy/REFERENCE.md`: what can be said and run, from the code itself.

A test holds the file against this, so it cannot grow stale.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator

from bot.__main__ import _parser
from bot.phrases.table import ROWS, SLASHES, Row

GROUPS = {
    "report": "Telling what was done",
    "read": "Readings",
    "ask": "Asking",
    "change": "Changing the plan",
    "service": "Service",
    "slip": "When something goes wrong",
    "safety": "Safety and labels",
    "cards": "Cards and the test kitchen",
}
"""Headings; a group that is not here stands under its own name, behind these."""


def reference() -> str:
    """Return the page."""
    return "\n".join((*_head(), *_said(), *_run())) + "\n"


def _head() -> Iterator[str]:
    yield "# Reference"
    yield ""
    yield "Made from the code by `python -m bot.reference`; do not edit it."


def _said() -> Iterator[str]:
    yield from ("", "## What can be said", "")
    yield "Names of loads, stations and people are those of your cards. A clock time may stand"
    yield "behind anything that was done earlier. In a group where the bot hears only commands, put"
    yield f"the slash name in front: {', '.join(f'`/{name}`' for name in SLASHES)}."
    names = [*GROUPS, *sorted({row.group for row in ROWS} - GROUPS.keys())]
    for group in names:
        rows = [row for row in ROWS if row.group == group]
        if rows:
            yield from ("", f"### {GROUPS.get(group, group.capitalize())}", "")
            yield from ("| in English | en español | slash name |", "|---|---|---|")
            yield from dict.fromkeys(map(_spoken, rows))


def _spoken(row: Row) -> str:
    return f"| {_cell(row.en)} | {_cell(row.es)} | `/{row.slash}` |"


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _run() -> Iterator[str]:
    yield from ("", "## What can be run", "")
    yield "Exit status 0, or 2 with one line that says what is wrong. `--db` is a file or a"
    yield "`postgresql://` address; without it `PITCRIER_DB` counts, then `./pitcrier.db`."
    yield from ("", "| command | does |", "|---|---|")
    for name, command, what in _commands(_parser()):
        words = " ".join((f"pitcrier {name}", *map(_argument, _arguments(command))))
        yield f"| `{words}` | {_cell(what)} |"


def _commands(
    parser: argparse.ArgumentParser,
) -> Iterator[tuple[str, argparse.ArgumentParser, str]]:
    for action in parser._actions:  # the library offers no other way to them
        if isinstance(action, argparse._SubParsersAction):
            helps = {choice.dest: choice.help or "" for choice in action._choices_actions}
            for name, command in action.choices.items():
                yield name, command, helps.get(name, "")


def _arguments(command: argparse.ArgumentParser) -> list[argparse.Action]:
    return [a for a in command._actions if not isinstance(a, argparse._HelpAction)]


def _argument(action: argparse.Action) -> str:
    value = action.metavar or action.dest.upper()
    if not action.option_strings:
        return f"[{value}...]" if action.nargs == "*" else str(value)
    flag = action.option_strings[-1]
    text = flag if action.nargs == 0 else f"{flag} {value}"
    return text if action.required else f"[{text}]"


if __name__ == "__main__":
    sys.stdout.write(reference())
