"""Lines to Telegram's HTML, in parts that fit.

The look is plain: the first line is bold where the message rings or gives a verdict, underlined
too where it is an alarm; who is rung in a group stands alone on the last line. Text is cut before
markup is put around it, so no tag is ever torn.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from bot.ports import Mention, Outgoing
from core.model import Sound

LONGEST_TEXT = 4096
LONGEST_CAPTION = 1024
"""UTF-16 units after the tags are taken away, as the Bot API counts."""


def units(text: str) -> int:
    """Return how long Telegram thinks a text is: UTF-16 units.

    Examples
    --------
    >>> units("aé"), units("\N{THUMBS UP SIGN}")
    (2, 2)
    """
    return len(text.encode("utf-16-le")) // 2


@dataclass(frozen=True, slots=True)
class Piece:
    """Part of a line: its words, and the tags they stand in."""

    text: str
    before: str = ""
    after: str = ""

    @property
    def html(self) -> str:
        """Return the words escaped, in their tags."""
        return f"{self.before}{escape(self.text, quote=False)}{self.after}" if self.text else ""


Row = tuple[Piece, ...]


def parts_of(message: Outgoing, longest_last: int = LONGEST_TEXT) -> tuple[str, ...]:
    """Return a message's text as HTML parts; the last, which bears the buttons, may be shorter.

    Empty if there is nothing to say.

    Examples
    --------
    >>> parts_of(Outgoing(("pull A & B",), sound=Sound.ONCE, mention=(Mention("7", "Bo"),)))
    ('<b>pull A &amp; B</b>\\n<a href="tg://user?id=7">Bo</a>',)
    """
    rows = [row for row in _rows(message, longest_last) if any(p.text for p in row)]
    last = _tail(rows, longest_last)
    heads = _filled(rows[: len(rows) - len(last)])
    return tuple("\n".join(map(_html, part)) for part in (*heads, last) if part)


def _html(row: Row) -> str:
    return "".join(piece.html for piece in row)


def _rows(message: Outgoing, longest: int) -> Iterator[Row]:
    tags = _tags(message)
    for number, line in enumerate(message.lines):
        before, after = tags if number == 0 else ("", "")
        for text in _cut(line, longest):
            yield (Piece(text, before, after),)
    if message.mention:
        yield tuple(_mentions(message.mention))


def _tags(message: Outgoing) -> tuple[str, str]:
    if message.sound is Sound.ALARM:
        return "<b><u>", "</u></b>"
    verdict = message.tag is not None and message.tag.verdict is not None
    return ("<b>", "</b>") if message.sound is Sound.ONCE or verdict else ("", "")


def _mentions(people: Sequence[Mention]) -> Iterator[Piece]:
    """Yield who is rung; the name of somebody Telegram has no number for stands plain."""
    for number, person in enumerate(people):
        if number:
            yield Piece(", ")
        if person.who.isdigit():
            yield Piece(person.name[:64], f'<a href="tg://user?id={person.who}">', "</a>")
        else:
            yield Piece(person.name[:64])


def _cut(line: str, longest: int) -> Iterator[str]:
    """Yield a line in pieces that fit, cut at a space where there is one."""
    while units(line) > longest:
        end = longest if units(line[:longest]) <= longest else longest // 2
        space = line.rfind(" ", end // 2, end)
        end = space if space > 0 else end
        yield line[:end]
        line = line[end:].lstrip()
    yield line


def _length(row: Row) -> int:
    return sum(units(piece.text) for piece in row)


def _tail(rows: Sequence[Row], longest: int) -> list[Row]:
    """Return as many rows from the end as fit."""
    taken: list[Row] = []
    length = -1
    for row in reversed(rows):
        length += _length(row) + 1
        if length > longest:
            break
        taken.insert(0, row)
    return taken


def _filled(rows: Sequence[Row]) -> list[list[Row]]:
    """Return rows in as few texts as they fit."""
    parts: list[list[Row]] = []
    length = LONGEST_TEXT + 1
    for row in rows:
        length += _length(row) + 1
        if length > LONGEST_TEXT:
            parts.append([])
            length = _length(row)
        parts[-1].append(row)
    return parts
