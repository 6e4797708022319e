"""On which line of a TOML text each key stands; the standard reader does not say.

Only for texts that `tomllib` has accepted, so this may be simple. Keys inside an inline table or
a list are found at the line of the key that holds them.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Mapping

Path = tuple[str | int, ...]

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_KEY = re.compile(r"""[ \t]*(?:([A-Za-z0-9_-]+)|"((?:\\.|[^"\\\n])*)"|'([^'\n]*)')[ \t]*""")
_VALUE_TOKEN = re.compile(
    r'''"""(?:\\.|[^\\])*?"{3,5}'''
    r"""|'{3}.*?'{3,5}"""
    r'''|"(?:\\.|[^"\\\n])*"'''
    r"""|'[^'\n]*'"""
    r"""|\#[^\n]*|[\[{]|[\]}]|\n|[^"'\#\[\]{}\n]+""",
    re.DOTALL,
)


def key_lines(text: str) -> Mapping[Path, int]:
    """Return the line of each key and table, counted from 1.

    Examples
    --------
    >>> key_lines('id = "x"\\n[[step]]\\ndo = "smoke"\\n')[("step", 0, "do")]
    3
    """
    breaks = [i for i, char in enumerate(text) if char == "\n"]
    found: dict[Path, int] = {}
    counts: dict[Path, int] = {}
    table: Path = ()
    at = _blank_end(text, 0)
    while at < len(text):
        line = bisect_right(breaks, at - 1) + 1
        if text[at] == "[":
            many = text.startswith("[[", at)
            names, at = _dotted(text, at + 1 + many)
            table = _resolved(names[:-1], counts) + names[-1:]
            if many:
                found.setdefault(table, line)
                counts[table] = counts.get(table, -1) + 1
                table = (*table, counts[table])
            else:
                table = _resolved(names, counts)
            found.setdefault(table, line)
            at = _blank_end(text, at + 1 + many)
        else:
            names, at = _dotted(text, at)
            for size in range(1, len(names) + 1):
                found.setdefault(table + names[:size], line)
            at = _blank_end(text, _value_end(text, at + 1))
    return found


def _blank_end(text: str, at: int) -> int:
    match = _BLANK.match(text, at)
    return match.end() if match else at


def _dotted(text: str, at: int) -> tuple[Path, int]:
    """Return a dotted key and where it ends."""
    names: list[str] = []
    while match := _KEY.match(text, at):
        names.append(next(group for group in match.groups() if group is not None))
        at = match.end()
        if not text.startswith(".", at):
            break
        at += 1
    return (tuple(names) or ("",)), at


def _resolved(names: Path, counts: Mapping[Path, int]) -> Path:
    """Return the path with the index of the newest entry after each name that is a list."""
    path: Path = ()
    for name in names:
        path = (*path, name)
        if path in counts:
            path = (*path, counts[path])
    return path


def _value_end(text: str, at: int) -> int:
    """Return where a value ends: at the first line break outside of brackets and quotes."""
    depth = 0
    while at < len(text) and (token := _VALUE_TOKEN.match(text, at)):
        first = token[0][0]
        if first in "[{":
            depth += 1
        elif first in "]}":
            depth -= 1
        elif first == "\n" and depth <= 0:
            return token.end()
        at = token.end()
    return at if at >= len(text) else at + 1
