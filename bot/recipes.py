"""A recipe as schema.org JSON-LD, from a saved page or a .json file: read, and never believed.

Nothing is fetched: what is in the file is all there is. A page may lie, nest without end or be no
page at all; each is refused in one line. Durations are ISO 8601, ingredient lines are read by our
own units: what is not surely read is shown as it stands.
"""

from __future__ import annotations

import json
import re
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from html import unescape
from html.parser import HTMLParser

from core.errors import KitchenError
from core.units import amount
from core.words import Quantity, Range, Word, lex
from core.words.atoms import folded

LARGEST_BYTES = 2_000_000
MOST_NODES = 20_000
MOST_SCRIPTS = 50
MOST_LINES = 100
LONGEST_LINE = 200
LONGEST_MIN = 7 * 24 * 60.0
_LD = "application/ld+json"
_TAGS = re.compile(r"<[^>]{0,200}>")


class RecipeError(KitchenError):
    """A file that gives no recipe; says why."""

    template = "No recipe in {name}: {why}."

    def __init__(self, name: str, why: str) -> None:
        self.why = why
        super().__init__(name=name, why=why)


@dataclass(frozen=True, slots=True)
class Good:
    """An ingredient line that was read: its amount in kg, L or pieces, and the line itself."""

    name: str
    qty: float
    unit: str
    line: str


@dataclass(frozen=True, slots=True)
class Recipe:
    """What a recipe says that a card can use; `unread` are ingredient lines nobody can place."""

    name: str
    yields: str
    cook_min: float | None
    goods: tuple[Good, ...]
    unread: tuple[str, ...]


def recipe_in(name: str, content: bytes) -> Recipe:
    """Return the recipe of a saved page or JSON-LD file.

    Parameters
    ----------
    name
        Of the file, for the refusal.
    content
        Its bytes.

    Raises
    ------
    RecipeError
        If there is none, or the file is not what it seems.
    """
    if len(content) > LARGEST_BYTES:
        raise RecipeError(name, "it is larger than 2 MB")
    if b"\x00" in content:
        raise RecipeError(name, "it is not text")
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise RecipeError(name, "it is not UTF-8 text") from None
    scripts = _scripts(text) if text.lstrip()[:1] == "<" else [text]
    if not scripts:
        raise RecipeError(name, "the page has no JSON-LD")
    bad = 0
    for script in scripts:
        try:
            data = json.loads(script)
        except (ValueError, RecursionError):
            bad += 1
            continue
        for node in _nodes(data):
            if _is_recipe(node) and (made := _recipe(node)) is not None:
                return made
    if bad == len(scripts):
        raise RecipeError(name, "its JSON-LD cannot be read")
    raise RecipeError(name, "no Recipe with a name and ingredients is in it")


class _Scripts(HTMLParser):
    """Collects what stands in scripts of JSON-LD; everything else of a page is passed over."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.found: list[str] = []
        self._inside = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note where a script of JSON-LD begins."""
        kind = (dict(attrs).get("type") or "").split(";")[0].strip().casefold()
        self._inside = tag == "script" and kind == _LD and len(self.found) < MOST_SCRIPTS
        if self._inside:
            self.found.append("")

    def handle_endtag(self, tag: str) -> None:
        """Note where it ends."""
        if tag == "script":
            self._inside = False

    def handle_data(self, data: str) -> None:
        """Keep what stands in it."""
        if self._inside:
            self.found[-1] += data


def _scripts(text: str) -> list[str]:
    page = _Scripts()
    page.feed(text)
    page.close()
    return [script for script in page.found if script.strip()]


def _nodes(data: object) -> Iterator[Mapping[str, object]]:
    """Yield every object of a document, the outer ones first, up to a limit."""
    waiting: deque[object] = deque([data])
    seen = 0
    while waiting and seen < MOST_NODES:
        node = waiting.popleft()
        seen += 1
        if isinstance(node, dict):
            yield node
            waiting.extend(node.values())
        elif isinstance(node, list):
            waiting.extend(node)


def _is_recipe(node: Mapping[str, object]) -> bool:
    kinds = node.get("@type")
    named = kinds if isinstance(kinds, list) else [kinds]
    return any(str(kind).rsplit("/", 1)[-1].rsplit(":", 1)[-1] == "Recipe" for kind in named)


def _recipe(node: Mapping[str, object]) -> Recipe | None:
    name = _text(node.get("name"))
    lines = _lines(node.get("recipeIngredient") or node.get("ingredients"))
    if not name or not lines:
        return None
    read = [(line, good_in(line)) for line in lines]
    goods = tuple(good for _, good in read if good is not None)
    unread = tuple(line for line, good in read if good is None)
    yields = _text(_first(node.get("recipeYield") or node.get("yield")))
    cook = minutes_of(node.get("cookTime"))
    if cook is None:
        cook = minutes_of(node.get("totalTime"))
    return Recipe(name[:60], yields, cook, goods, unread)


def _first(value: object) -> object:
    return value[0] if isinstance(value, list) and value else value


def _text(value: object) -> str:
    """Return words on one line, without markup or anything that could steer a screen."""
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        return ""
    bare = _TAGS.sub(" ", unescape(str(value))[: 4 * LONGEST_LINE])
    shown = "".join(c if c.isprintable() else " " for c in bare)
    return " ".join(shown.split())[:LONGEST_LINE]


def _lines(value: object) -> list[str]:
    items = value if isinstance(value, list) else str(value).split("\n") if value else []
    found = [_text(item) for item in items[:MOST_LINES]]
    return [line for line in found if line]


def minutes_of(value: object) -> float | None:
    """Return an ISO 8601 duration in minutes; None for none, for what is none, or beyond a week.

    Examples
    --------
    >>> minutes_of("PT1H30M"), minutes_of("P0DT45M"), minutes_of("90 minutes"), minutes_of("-PT5M")
    (90.0, 45.0, None, None)
    """
    import isodate

    if not isinstance(value, str) or len(value) > 40:
        return None
    try:
        lasts = isodate.parse_duration(value)
    except (ValueError, TypeError, OverflowError, ArithmeticError):
        return None
    if not isinstance(lasts, timedelta):  # months and years have no length of their own
        return None
    minutes = lasts.total_seconds() / 60
    return minutes if 0 < minutes <= LONGEST_MIN else None


_COUNT = re.compile(r"^(\d{1,4})\s+(?:x\s+)?([^\W\d_].*)$")
_SMALL = frozenset({"of", "de", "a", "an", "la", "el", "the"})
_MEASURES = frozenset(
    {"bunch", "bunches", "handful", "pinch", "dash", "sprig", "sprigs", "knob", "can", "cans",
     "tin", "tins", "pack", "packet", "jar", "clove", "cloves", "stick", "sticks", "manojo",
     "punado", "pizca", "rama", "ramas", "lata", "latas", "bote", "diente", "dientes"}
)  # fmt: skip


def good_in(line: str) -> Good | None:
    """Return an ingredient line read: '500 g lamb shoulder, diced'; None where a word is a guess.

    Examples
    --------
    >>> good_in("500 g lamb shoulder, diced")
    Good(name='lamb shoulder', qty=0.5, unit='kg', line='500 g lamb shoulder, diced')
    >>> good_in("4 lamb rumps").unit, good_in("salt to taste"), good_in("1-2 kg beef")
    ('pieces', None, None)
    >>> good_in("1 bunch parsley"), good_in("2 x 400 g cans beans")
    (None, None)
    """
    head = re.split(r",(?!\d)|\(", line, maxsplit=1)[0].strip()
    tokens = lex(head)
    if not tokens or any(isinstance(t, Range) for t in tokens):
        return None
    first, rest = tokens[0], tokens[1:]
    words = [t.text for t in rest if isinstance(t, Word)]
    if len(words) < len(rest) or (words and folded(words[0]) in _MEASURES):
        return None  # another number, or a measure nobody can weigh
    while words and folded(words[0]) in _SMALL:
        words = words[1:]
    name = " ".join(words)
    if not name:
        return None
    if isinstance(first, Quantity):
        try:
            qty, unit = amount(f"{first.value:g} {first.unit}")
        except KitchenError:
            return None
        return Good(name, round(qty, 6), unit, line) if qty > 0 else None
    counted = _COUNT.match(head)
    if counted is None or int(counted[1]) == 0:
        return None
    return Good(name, float(counted[1]), "pieces", line)


def heaviest(goods: Sequence[Good]) -> Good | None:
    """Return the good that weighs most: a guess at what the dish is about, to be shown."""
    weighed = [good for good in goods if good.unit == "kg"]
    return max(weighed, key=lambda good: good.qty, default=None)
