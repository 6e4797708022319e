"""Which load, batch, station or dish a name means. Names are matched exactly, never guessed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from bot.phrases.heard import Ear
from bot.phrases.said import Said
from core.words import Num, Ordinal, Token, Word, recognised
from core.words.atoms import folded
from core.words.food_words import FOODS

CONTAINERS = frozenset({"load", "batch", "rack", "tray"})
_KINDS = {
    "pit": ("smoker",),
    "grill": ("grill",),
    "oven": ("oven",),
    "griddle": ("griddle",),
    "ring": ("ring",),
    "hot_box": ("hot_box",),
    "cold_box": ("cold_box",),
    "box": ("cold_box", "hot_box"),
    "fridge": ("fridge",),
    "tub": ("tub",),
    "lane": ("lane",),
}
"""Words for a kind of station, and the kinds they may mean, the likelier first."""

_LABEL = re.compile(r"[a-z]{1,2}[0-9]{0,3}(?:\.[0-9]{1,3})?")
_NOT_OF_A_DISH = frozenset({"light", "feed", "break", "open", "serve"})
_LONGEST_NAME = 6  # words
_ARTICLES = frozenset({"a", "o", "y", "e"})  # as loads only where nothing else is named


@dataclass(frozen=True, slots=True)
class Named:
    """Something named: what sort of thing, what to call it, and which words said so."""

    sort: str  # load, unit, station, dish, step, kind
    name: str
    used: frozenset[int]
    kind: str = ""


def named(line: Said, verbs: frozenset[int] = frozenset()) -> tuple[Named, ...]:
    """Return everything a line names, in the order of the words; dishes that tie all of them.

    `verbs` are the places of words that are spoken for: what is done, not what it is done to.
    """
    found: list[Named] = []
    taken: set[int] = set(verbs)
    for reader in (_exact, _numbered_loads, _stations_by_kind, _steps, _dishes):
        before = frozenset(taken)
        if reader is _dishes and any(one.sort == "dish" for one in found):
            found = [_with_all_its_words(one, line, before) for one in found]
            continue
        for one in reader(line, before):
            if not one.used & (before if one.sort == "dish" else taken):
                found.append(one)
                taken |= one.used
    strong = [n for n in found if not _is_article(n, line)]
    kept = strong or found
    return tuple(sorted(kept, key=lambda n: min(n.used)))


def _with_all_its_words(one: Named, line: Said, taken: frozenset[int]) -> Named:
    """Return a dish called by its whole name with its other words in the line: 'sauce 66 …'."""
    if one.sort != "dish":
        return one
    names = [f"{d.replace('-', ' ')} {n}" for d, n in line.ear.dishes if d == one.name]
    more = _matching(line, _meanings(names[0]), taken)
    return Named(one.sort, one.name, one.used | more, one.kind)


def _is_article(one: Named, line: Said) -> bool:
    words = [line.words[i] for i in one.used]
    return one.sort in {"load", "unit"} and all(w.text in _ARTICLES for w in words)


@lru_cache(maxsize=4096)
def squeezed(text: str) -> str:
    """Return a name without case, accents, spaces and dashes: 'hot 1' is 'hot1'."""
    return re.sub(r"[^a-z0-9.]", "", folded(text))


def _exact(line: Said, _: frozenset[int]) -> Iterator[Named]:
    """Yield loads, batches and stations called by the names they have."""
    ear = line.ear
    names = {squeezed(text): ("dish", dish) for dish, name in ear.dishes for text in (dish, name)}
    names |= {squeezed(s): ("station", s) for s in ear.stations}
    names |= {squeezed(u): ("unit", u) for u in ear.units}
    names |= {squeezed(x): ("load", x) for x in ear.loads}
    dotless = {squeezed(u).replace(".", ""): ("unit", u) for u in ear.units if "." in u}
    names = dotless | names  # 'A2' is batch A.2 unless something else is called so
    i = 0
    while i < len(line.words):
        for count in range(_LONGEST_NAME, 0, -1):
            part = line.words[i : i + count]
            text = squeezed("".join(w.text for w in part))
            is_word = isinstance(part[0], Word)
            if len(part) == count and is_word and text in names:
                sort, name = names[text]
                yield Named(sort, name, frozenset(range(i, i + count)), ear.kinds.get(name, ""))
                i += count
                break
        else:
            i += 1


def _numbered_loads(line: Said, taken: frozenset[int]) -> Iterator[Named]:
    """Yield 'load 2', '2nd rack', 'la segunda', 'tanda b2'."""
    words = line.words
    for i, word in enumerate(words):
        holder = isinstance(word, Word) and word.canonical in CONTAINERS
        after = words[i + 1] if i + 1 < len(words) else None
        if holder and i + 1 not in taken and after is not None and not _counts_food(words, i + 1):
            name = _number_name(after) or _label_name(after)
            if name:
                yield Named("load", name, frozenset({i, i + 1}))
        elif isinstance(word, Ordinal) and i not in taken and word.value > 0:
            follows = isinstance(after, Word) and after.canonical in CONTAINERS
            yield Named("load", str(word.value), frozenset({i, i + 1} if follows else {i}))
        elif isinstance(word, Word) and i not in taken and not line.ear.units:
            label = _label_name(word)
            if label and not word.known:
                yield Named("unit", label, frozenset({i}))


def _counts_food(words: tuple[Token, ...], i: int) -> bool:
    """Tell whether a number counts what follows: 'tray 24 thighs' is no tray 24."""
    after = words[i + 1] if i + 1 < len(words) else None
    food = isinstance(after, Word) and (after.canonical in FOODS or after.canonical == "pieces")
    return isinstance(words[i], Num) and food


def _number_name(token: Token) -> str:
    if isinstance(token, Num) and token.value.is_integer() and 0 < token.value < 1000:
        return str(int(token.value))
    return ""


def _label_name(token: Token) -> str:
    is_label = isinstance(token, Word) and _LABEL.fullmatch(folded(token.text)) is not None
    return token.text if is_label else ""


def _stations_by_kind(line: Said, taken: frozenset[int]) -> Iterator[Named]:
    """Yield 'box 3', 'caja 3', 'pit 2', and 'smoker' where there is one."""
    words = line.words
    for i, word in enumerate(words):
        if not isinstance(word, Word) or word.canonical not in _KINDS or i in taken:
            continue
        after = words[i + 1] if i + 1 < len(words) and i + 1 not in taken else None
        number = _number_name(after) if after is not None else ""
        for kind in _KINDS[word.canonical]:
            station = _of_kind(line.ear, kind, number)
            if station:
                used = frozenset({i, i + 1} if number and station != _only(line.ear, kind) else {i})
                yield Named("station", station, used, kind)
                break
        else:
            yield Named("kind", word.text, frozenset({i}), _KINDS[word.canonical][0])


def all_of(ear: Ear, kind: str) -> list[str]:
    """Return the stations of a kind."""
    return [s for s in ear.stations if ear.kinds.get(s) == kind]


def _only(ear: Ear, kind: str) -> str:
    stations = all_of(ear, kind)
    return stations[0] if len(stations) == 1 else ""


def _of_kind(ear: Ear, kind: str, number: str) -> str:
    """Return the station of a kind: the one so numbered, or the only one there is."""
    ends = [s for s in all_of(ear, kind) if number and re.fullmatch(rf"\D*{number}", s)]
    return ends[0] if len(ends) == 1 else _only(ear, kind)


def _dishes(line: Said, taken: frozenset[int]) -> Iterator[Named]:
    """Yield the dish most of whose words are said; all that tie.

    Of two with as many, the one whose last word is said is meant ('beans': white-beans), then
    the one that goes on a fire in loads.
    """
    scores: dict[str, tuple[int, bool, bool]] = {}
    places: dict[str, frozenset[int]] = {}
    with_loads = {key.split("/")[0] for key in line.ear.tasks if _has_load(key, line.ear)}
    for dish, name in line.ear.dishes:
        used = _matching(line, _meanings(f"{dish.replace('-', ' ')} {name}"), taken)
        if used:
            head = _matching(line, _meanings(_last_word(dish)), taken)
            scores[dish] = (len(used), bool(head), dish in with_loads)
            places[dish] = used
    best = max(scores.values(), default=(0, False, False))
    for dish, score in scores.items():
        if score == best:
            yield Named("dish", dish, places[dish])


def _has_load(key: str, ear: Ear) -> bool:
    parts = key.split("/")
    return len(parts) > 2 and parts[1] in ear.loads


def _last_word(dish: str) -> str:
    return next((w for w in reversed(dish.split("-")) if len(w) > 2), dish)


def _matching(line: Said, means: frozenset[str], taken: frozenset[int]) -> frozenset[int]:
    return frozenset(
        i
        for i, w in enumerate(line.words)
        if i not in taken and isinstance(w, Word) and {folded(w.text), w.canonical} & means
    )


@lru_cache(maxsize=512)
def _meanings(name: str) -> frozenset[str]:
    """Return the words of a name and what they stand for, without the small ones."""
    words = [w for w in name.split() if len(w) > 2]
    stand_for = [recognised(w).canonical for w in words]
    return frozenset([*(folded(w) for w in words), *stand_for]) - {"and", "with", "con"}


def _steps(line: Said, taken: frozenset[int]) -> Iterator[Named]:
    """Yield a word that is the name of a step: 'brine', 'salmuera', 'hang'."""
    known = {step_of(key) for key in line.ear.tasks}
    for i, word in enumerate(line.words):
        if i in taken or not isinstance(word, Word):
            continue
        step = next((w for w in (folded(word.text), word.canonical) if w in known), None)
        if step is not None:
            yield Named("step", step, frozenset({i}))


def step_of(key: str) -> str:
    """Return the step a run's or task's key is for.

    Examples
    --------
    >>> step_of("lamb-rump/A/sear/2"), step_of("pork-collar/brine/4"), step_of("load-out")
    ('sear', 'brine', '')
    """
    parts = [p for p in key.split("/")[1:] if not p.lstrip("#").isdigit()]
    return parts[-1] if parts and key.split("/", maxsplit=1)[0] not in _NOT_OF_A_DISH else ""
