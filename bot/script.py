"""The script of a day: who types what when. `[T-N |T+1 ]HH:MM Name: message`, site time.

A local time that does not exist is a mistake; one that comes twice means the first, unless an
offset follows (`02:30+01:00`). Lines may not go back in time. `#` starts a comment line.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime, timedelta

from bot.directory import folded_name
from core.errors import KitchenError
from core.model import Cards, Moment
from core.rights import CLIENT

LINE = re.compile(
    r"^(?:T(?P<day>[+-]\d{1,2})\s+)?(?P<h>\d{1,2}):(?P<m>\d{2})(?P<off>[+-]\d{2}:\d{2})?\s+"
    r"(?P<who>[^:]{1,40}):\s*(?P<text>.*)$"
)
MOST_LINES = 5000
LONGEST = 4000
LAST = Moment(1, 12, 0)


class ScriptError(KitchenError):
    """A script line that cannot be played."""

    template = "{file}:{line}: {what}"

    def __init__(self, file: str, line: int, what: str) -> None:
        super().__init__(file=file, line=line, what=what)


@dataclass(frozen=True, slots=True)
class ScriptLine:
    """One line: its number in the file, when, who (a person id or 'client'), what."""

    number: int
    at: datetime
    who: str
    text: str


def read_script(text: str, cards: Cards, file: str = "script") -> tuple[ScriptLine, ...]:
    """Return the script's lines.

    Raises
    ------
    ScriptError
        With file and line: not of the form, an unknown name, a time that is not or goes back.
    """
    found: list[ScriptLine] = []
    for number, raw in enumerate(text.splitlines(), start=1):
        if not raw.strip() or raw.lstrip().startswith("#"):
            continue
        if number > MOST_LINES:
            raise ScriptError(file, number, f"more than {MOST_LINES} lines")
        line = _line(raw.strip(), number, cards, file)
        if line.at > cards.event.instant(LAST):
            raise ScriptError(file, number, f"after {LAST}, where a rehearsal ends")
        if found and line.at < found[-1].at:
            raise ScriptError(file, number, "goes back in time: lines follow each other")
        found.append(line)
    return tuple(found)


def _line(raw: str, number: int, cards: Cards, file: str) -> ScriptLine:
    match = LINE.match(raw)
    if match is None:
        raise ScriptError(file, number, "not '[T-N ]HH:MM Name: message'")
    if len(match["text"]) > LONGEST:
        raise ScriptError(file, number, f"longer than {LONGEST} characters")
    who = _who(match["who"], number, cards, file)
    return ScriptLine(number, _instant(match, number, cards, file), who, match["text"].strip())


def _who(name: str, number: int, cards: Cards, file: str) -> str:
    wanted = folded_name(name)
    if wanted == CLIENT:
        return CLIENT
    for person in cards.crew:
        if wanted in {folded_name(person.name), person.id}:
            return person.id
    known = ", ".join(p.name for p in cards.crew)
    raise ScriptError(file, number, f"nobody called '{name.strip()}': {known} or Client")


def _instant(match: re.Match[str], number: int, cards: Cards, file: str) -> datetime:
    hour, minute = int(match["h"]), int(match["m"])
    if hour > 23 or minute > 59:
        raise ScriptError(file, number, f"{hour:02}:{minute:02} is no time")
    moment = Moment(int(match["day"] or 0), hour, minute)
    event = cards.event
    try:
        if not match["off"]:
            return event.instant(moment)
        for fold in (0, 1):
            at = event.instant(moment, fold)
            if _offset(event.local(at)) == match["off"]:
                return at
    except KitchenError as error:
        raise ScriptError(file, number, str(error)) from error
    raise ScriptError(file, number, f"{match['off']} is not the offset of that day")


def _offset(local: datetime) -> str:
    delta = local.utcoffset() or timedelta()
    sign = "-" if delta < timedelta() else "+"
    minutes = abs(delta) // timedelta(minutes=1)
    return f"{sign}{minutes // 60:02}:{minutes % 60:02}"
