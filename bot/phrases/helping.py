"""The table as a few lines of help, for this person's language and role."""

from __future__ import annotations

from bot.phrases.table import ROWS, Row
from core.model import Label, Line, Role, say

_ON_ONE_LINE = 5
_BETWEEN = " · "
_MAY_CHANGE = frozenset({Role.CHEF, Role.PIT, Role.COLD, Role.FRONT})
_SHOWN_LAST = frozenset({"[2]", "47", "/check"})


def _examples(group: str, lang: str) -> Label:
    return Label(_BETWEEN.join(_shown(group, lang)))


def _shown(group: str, lang: str) -> list[str]:
    rows = [row for row in ROWS if row.group == group and row.en not in _SHOWN_LAST]
    return [_example(row, lang) for row in rows[:: _every(rows)][:_ON_ONE_LINE]]


def _every(rows: list[Row]) -> int:
    return 1 if len(rows) <= _ON_ONE_LINE else max(len(rows) // _ON_ONE_LINE, 1)


def _example(row: Row, lang: str) -> str:
    return row.es if lang == "es" else row.en


def help(lang: str, role: Role | None = None) -> tuple[Line, ...]:  # noqa: A001
    """Return what this person can say, at most four lines, from the table.

    Examples
    --------
    >>> [line.text for line in help("en", Role.CREW)]
    ['Say: {examples}', 'Ask: {examples}', 'In a group put / in front: {examples}']
    """
    lines = [say("Say: {examples}", examples=_examples("report", lang))]
    if role in _MAY_CHANGE:
        change = _shown("change", lang)[: _ON_ONE_LINE - 1]
        card = _shown("cards", lang)[:1]
        lines.append(say("Change: {examples}", examples=Label(_BETWEEN.join([*change, *card]))))
    lines.append(say("Ask: {examples}", examples=_examples("ask", lang)))
    slashes = Label("/on b2 · /off A 46 · /temp A 38")
    lines.append(say("In a group put / in front: {examples}", examples=slashes))
    return tuple(lines)
