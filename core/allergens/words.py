"""Words for allergens, English and Spanish, matched exactly: a typo is never guessed at."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache

from core.model import Line, say
from core.safety.food import plain
from core.tables import Row, table

NAMES: Mapping[str, Line] = {
    "milk": say("milk"),
    "egg": say("egg"),
    "fish": say("fish"),
    "crustaceans": say("crustaceans"),
    "molluscs": say("molluscs"),
    "peanut": say("peanut"),
    "nuts": say("nuts"),
    "almond": say("almond"),
    "hazelnut": say("hazelnut"),
    "walnut": say("walnut"),
    "cashew": say("cashew"),
    "pecan": say("pecan"),
    "brazil_nut": say("brazil nut"),
    "pistachio": say("pistachio"),
    "macadamia": say("macadamia"),
    "pine_nut": say("pine nut"),
    "gluten": say("gluten"),
    "wheat": say("wheat"),
    "spelt": say("spelt"),
    "rye": say("rye"),
    "barley": say("barley"),
    "oats": say("oats"),
    "soy": say("soy"),
    "sesame": say("sesame"),
    "celery": say("celery"),
    "mustard": say("mustard"),
    "lupin": say("lupin"),
    "sulphites": say("sulphites"),
}
"""Every allergen of the table, as it is said."""


@cache
def _rows() -> Mapping[str, Row]:
    return {row["id"]: row for row in table("allergens")["tokens"]["rows"]}


@cache
def _phrases() -> Mapping[str, tuple[frozenset[str], frozenset[str]]]:
    """Return folded phrase -> (surely in it, perhaps in it)."""
    found: dict[str, tuple[frozenset[str], frozenset[str]]] = {}
    for token, row in _rows().items():
        for word in row["in_words"]:
            found[plain(word)] = (frozenset(), frozenset({token}))
        for word in row["words"]:
            found[plain(word)] = (frozenset({token}), frozenset())
    for row in table("allergens")["not_what_it_sounds"]["rows"]:
        for word in row["words"]:
            found[plain(word)] = (frozenset(row["tokens"]), frozenset())
    return found


@cache
def _asked() -> Mapping[str, tuple[str, ...]]:
    asked = {plain(word): (token,) for token, row in _rows().items() for word in row["words"]}
    for row in table("allergens")["both"]["rows"]:
        asked |= {plain(word): tuple(row["tokens"]) for word in row["words"]}
    return asked


def _matches(text: str, known: Mapping[str, object]) -> Iterator[str]:
    """Yield the known phrases of a text, the longest first at each place, exactly as spelled."""
    words = "".join(c if c.isalnum() else " " for c in plain(text)).split()
    at = 0
    while at < len(words):
        for width in range(min(4, len(words) - at), 0, -1):
            phrase = " ".join(words[at : at + width])
            if phrase in known:
                yield phrase
                at += width
                break
        else:
            at += 1


@cache
def implied(name: str) -> tuple[frozenset[str], frozenset[str]]:
    """Return what an ingredient's name says is in it: surely, and by what such things are made of.

    Examples
    --------
    >>> implied("celeriac")[0], implied("mayonnaise")[1], implied("coconut milk")
    (frozenset({'celery'}), frozenset({'egg'}), (frozenset(), frozenset()))
    """
    surely: set[str] = set()
    perhaps: set[str] = set()
    for phrase in _matches(name, _phrases()):
        sure, maybe = _phrases()[phrase]
        surely |= sure
        perhaps |= maybe
    return frozenset(surely), frozenset(perhaps)


def asked_tokens(text: str) -> tuple[str, ...]:
    """Return the allergens a question names, in order.

    Examples
    --------
    >>> asked_tokens("guest asks egg or mustard"), asked_tokens("lleva marisco?")
    (('egg', 'mustard'), ('crustaceans', 'molluscs'))
    """
    found = [token for phrase in _matches(text, _asked()) for token in _asked()[phrase]]
    return tuple(dict.fromkeys(found))


def token_of(word: str) -> str:
    """Return the token a card's allergen word stands for; a word not in the table is itself."""
    known = _asked().get(plain(word))
    return known[0] if known else word


def is_within(token: str, wider: str) -> bool:
    """Say whether an allergen is, or is a kind of, another: hazelnut is within nuts."""
    at: str | None = token
    while at is not None:
        if at == wider:
            return True
        row = _rows().get(at)
        at = None if row is None else row.get("of")
    return False


@cache
def _same() -> Mapping[str, int]:
    rows = table("allergens")["same"]["rows"]
    return {plain(word): at for at, row in enumerate(rows) for word in row["words"]}


def same_thing(said: str, name: str) -> bool:
    """Say whether an ingredient is what somebody named: 'mayo' is mayonnaise, 'garlic mayo' too."""
    one, other = plain(said).strip(), plain(name).strip()
    if not one or not other:
        return False
    if f" {one} " in f" {other} " or f" {other} " in f" {one} ":
        return True
    mine = {_same()[w] for w in _matches(one, _same())}
    return bool(mine & {_same()[w] for w in _matches(other, _same())})
