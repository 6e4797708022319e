"""What was said, laid out so that a topic can pick what it needs: amounts, counts, words.

Nothing is guessed here. An amount keeps the unit it was typed in, so that the answer can use it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from core.ask.topic import AskContext
from core.model import Profile
from core.scaling.measures import folded
from core.words import Ago, Delta, Num, Quantity, Range, Ratio, Size, Times, Token, Word

KG_PER = {
    "kg": 1.0,
    "g": 1e-3,
    "mg": 1e-6,
    "lb": 0.45359237,
    "oz": 0.028349523125,
    "st": 6.35029318,
}
"""NIST Handbook 44, Appendix C; the stone of 14 lb, Weights and Measures Act 1985. Exact."""

L_PER = {
    "L": 1.0,
    "mL": 1e-3,
    "cL": 1e-2,
    "gal": 3.785411784,
    "qt": 0.946352946,
    "pt": 0.473176473,
    "cup": 0.2365882365,
    "fl oz": 0.0295735295625,
    "tbsp": 0.01478676478125,
    "tsp": 0.00492892159375,
}
"""US measures, NIST Handbook 44, Appendix C; exact. Imperial ones are asked for by name."""

IMPERIAL = {"gal": 4.54609, "qt": 1.1365225, "pt": 0.56826125, "fl oz": 0.0284130625}
"""UK Weights and Measures Act 1985, schedule 1, L; exact."""

_OLD = "imperial "
"""Set before a unit that is imperial, so that an answer says so."""

L_PER |= {_OLD + unit: litres for unit, litres in IMPERIAL.items()}

_SYSTEMS = frozenset({"imperial", "uk", "british", "us", "american"})
_SPELT = {
    **dict.fromkeys(("gal", "gals", "gallon", "gallons", "galon", "galones"), "gal"),
    **dict.fromkeys(("qt", "qts", "quart", "quarts"), "qt"),
    **dict.fromkeys(("pt", "pts", "pint", "pints", "pinta", "pintas"), "pt"),
}

CM_PER = {"cm": 1.0, "mm": 0.1, "m": 100.0, "in": 2.54, "ft": 30.48}
MIN_PER = {"min": 1.0, "h": 60.0, "s": 1 / 60, "day": 1440.0}
KW_PER = {"kW": 1.0, "W": 1e-3}
_KINDS = {
    "mass": KG_PER,
    "volume": L_PER,
    "length": CM_PER,
    "time": MIN_PER,
    "power": KW_PER,
    "percent": {"%": 0.01},
    "ppm": {"ppm": 1.0},
}
FILLERS = frozenset({"of", "de", "del", "per", "the", "a", "el", "la", "los", "las", "raw"})
"""Words that may stand between a number and what it counts."""


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount in its base unit (kg, L, cm, min, kW, fraction, ppm), as typed, and where."""

    base: float
    value: float
    unit: str
    at: int


@dataclass(frozen=True)
class Said:
    """A lexed line."""

    tokens: tuple[Token, ...]
    text: str
    imperial: bool = False

    @cached_property
    def words(self) -> frozenset[str]:
        """Return the concepts of all words."""
        return frozenset(t.canonical for t in self.tokens if isinstance(t, Word))

    @cached_property
    def plain(self) -> str:
        """Return the line folded, a space at either end, signs as spaces."""
        bare = folded(self.text)
        return " " + " ".join("".join(c if c.isalnum() else " " for c in bare).split()) + " "

    def has(self, *concepts: str) -> bool:
        """Tell whether any of these concepts was said."""
        return not self.words.isdisjoint(concepts)

    def says(self, *phrases: str) -> bool:
        """Tell whether any of these folded phrases stands in the line word for word."""
        return any(f" {phrase} " in self.plain for phrase in phrases)

    def amounts(self, kind: str) -> tuple[Amount, ...]:
        """Return the amounts of a kind, in the order said; a gallon is US unless it is not."""
        factors = _KINDS[kind]
        return tuple(
            Amount(t.value * factors[unit], t.value, unit, at)
            for at, t in enumerate(self.tokens)
            if isinstance(t, Quantity) and (unit := self._unit(t.unit)) in factors
        )

    def _unit(self, unit: str) -> str:
        """Return the unit, marked where it is the imperial one."""
        if unit not in IMPERIAL:
            return unit
        by_name = self.says("imperial", "uk", "british")
        american = self.says("us", "american")
        return _OLD + unit if by_name or (self.imperial and not american) else unit

    def gallons(self) -> str:
        """Return whose gallons, quarts, pints or ounces were said; '' where none were."""
        found = {t.unit for t in self.tokens if isinstance(t, Quantity)} & IMPERIAL.keys()
        if not found:
            return ""
        return "imperial" if any(self._unit(u) != u for u in found) else "US"

    def units(self, *kinds: str) -> set[str]:
        """Return the units of these kinds."""
        return {unit for kind in kinds for unit in _KINDS[kind]}

    def only(self, kind: str) -> Amount | None:
        """Return the amount of a kind if exactly one was said."""
        found = self.amounts(kind)
        return found[0] if len(found) == 1 else None

    def ratio(self) -> Ratio | None:
        """Return the one ratio of the line; '5 parts water, 1 part conc' and '5-1 conc' are one."""
        found = [t for t in self.tokens if isinstance(t, Ratio)]
        if found:
            return found[0] if len(found) == 1 else None
        counted = [v for at, v in self.bare() if self._word_at(at + 1) == "ratio"]
        if len(counted) == 2:
            return Ratio(counted[0], counted[1], "")
        if self.has("concentrate"):
            close = [
                (a, b) for (i, a), (j, b) in pairwise(self.bare()) if j == i + 1 and min(a, b) == 1
            ]
            if len(close) == 1 and f"{close[0][0]:g}-{close[0][1]:g}" in self.text:
                return Ratio(close[0][0], close[0][1], "")
        return None

    def _word_at(self, at: int) -> str:
        token = self.tokens[at] if 0 <= at < len(self.tokens) else None
        return token.canonical if isinstance(token, Word) else ""

    def rate_per(self, amount: Amount, *units: str) -> bool:
        """Tell whether an amount is per kilogram or litre: '60g/L', '20 g per kg'."""
        after = [self._word_at(amount.at + 1), self._word_at(amount.at + 2)]
        if after[0] in {"per", "por"}:
            return after[1] in units
        return after[0] in units

    def sizes(self) -> tuple[Size, ...]:
        """Return the rectangles of the line, in the order said."""
        return tuple(t for t in self.tokens if isinstance(t, Size))

    def times(self) -> float | None:
        """Return by how much to multiply: 'x2', 'half'."""
        return next((t.value for t in self.tokens if isinstance(t, Times)), None)

    def bare(self) -> tuple[tuple[int, float], ...]:
        """Return position and value of numbers without a unit."""
        return tuple((at, t.value) for at, t in enumerate(self.tokens) if isinstance(t, Num))

    def count_of(self, *concepts: str) -> float | None:
        """Return the bare number that counts one of these: '320 ppl', 'for 64', '12 raw steaks'.

        The number stands before the word, at most two fillers between.
        """
        for at, value in self.bare():
            for later in range(at + 1, min(at + 4, len(self.tokens))):
                token = self.tokens[later]
                if not isinstance(token, Word):
                    break
                if token.canonical in concepts:
                    return value
                if token.canonical not in FILLERS and not _is_food(token):
                    break
        return None

    def number_after(self, *concepts: str) -> float | None:
        """Return the bare number or percent right after such a word: 'trim 8', 'merma 8 %'."""
        for at in range(len(self.tokens)):
            if self._word_at(at) in concepts:
                for later in self.tokens[at + 1 : at + 3]:
                    if isinstance(later, Num):
                        return later.value
                    if isinstance(later, Quantity) and later.unit == "%":
                        return later.value
        return None

    def percent_of(self, *concepts: str) -> float | None:
        """Return the number that belongs to such a word, after it or as a percent before it."""
        for at in range(1, len(self.tokens)):
            before = self.tokens[at - 1]
            is_percent = isinstance(before, Quantity) and before.unit == "%"
            if self._word_at(at) in concepts and is_percent:
                return before.value if isinstance(before, Quantity) else None
        return self.number_after(*concepts)

    def beside(self, amount: Amount, *concepts: str) -> bool:
        """Tell whether a word stands right by an amount, a filler allowed: '12kg cases'."""
        for step in (1, -1):
            at = amount.at + step
            while 0 <= at < len(self.tokens) and abs(at - amount.at) <= 2:
                token = self.tokens[at]
                if not isinstance(token, Word):
                    break
                if token.canonical in concepts:
                    return True
                if token.canonical not in FILLERS:
                    break
                at += step
        return False

    def on_the_fire(self) -> bool:
        """Tell whether the line is about food that cooks, holds or cools: its numbers are degrees.

        A time, a box, a core or a temperature word is enough; then no number counts people unless
        a word beside it says so, and even then nothing about how much to buy was asked.
        """
        if any(isinstance(t, Quantity) and t.unit in _DEGREES for t in self.tokens):
            return True
        if self.amounts("time") or any(isinstance(t, Ago) for t in self.tokens):
            return True
        if self.has("core", "temp", "hot_box", "cold_box", "left_out", "reads", "probe", "until"):
            return True
        people = self.people() is not None
        asks = people or self.has("how_much", "buffet", "wedding") or self.says(*_DAYS)
        return not asks and self.has(*_AT_WORK)

    def people(self) -> int | None:
        """Return how many people, plates or portions are to be fed."""
        count = self.count_of("people", "heads", "portions", "plates", "children")
        return None if count is None else int(count)

    def first_bare(self) -> int | None:
        """Return the first number without a unit that may count people: ten or more."""
        bare = [value for _, value in self.bare() if value >= _CROWD]
        return int(bare[0]) if bare else None

    def crowd(self) -> int | None:
        """Return how many are to be fed, also where only 'for 365' was said."""
        people = self.people()
        if people is not None:
            return people
        after = self.number_after("for", "para")
        return int(after) if after is not None and after >= _CROWD else None


_DEGREES = frozenset({"°C", "°F", "°"})
_AT_WORK = ("box", "fridge", "oven", "pit", "on", "off", "hold", "rest", "chill", "reheat", "now",
            "wait", "hot", "cold", "thaw", "from")  # fmt: skip
_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "tomorrow",
         "lunes", "martes", "miercoles", "jueves", "viernes", "sabado", "domingo", "manana",
         )  # fmt: skip
_CROWD = 10  # 'for 3' may be hours, loads or anything; 'for 150' is people


def _is_food(word: Word) -> bool:
    from core.words.food_words import FOODS

    return word.canonical in FOODS


def said(tokens: Sequence[Token], text: str, context: AskContext | None = None) -> Said:
    """Return the line laid out; where the rules are British, so are the gallons."""
    british = context is not None and context.rules in {Profile.UK, Profile.SCOTLAND}
    return Said(_whole_units(tokens), text, british)


def _whole_units(tokens: Sequence[Token]) -> tuple[Token, ...]:
    """Return '2 uk gal' and '10 stone' as the quantities that they are."""
    found: list[Token] = []
    at = 0
    while at < len(tokens):
        token, left = tokens[at], [w for w in tokens[at + 1 : at + 3] if isinstance(w, Word)]
        names = [w.canonical for w in left]
        taken = 0
        if isinstance(token, Num) and names[:1] == ["stone"]:
            unit, taken = "st", 1
        elif isinstance(token, Num) and names[:1] and names[0] in _SYSTEMS and names[1:]:
            unit = _SPELT.get(names[1], "")
            taken = 2 if unit else 0
        if taken and isinstance(token, Num):
            text = " ".join((token.text, *(w.text for w in left[:taken])))
            token = Quantity(token.value, unit, text, token.alternatives)
        found.append(token)
        at += 1 + taken
    return tuple(found)


def has_change(tokens: Sequence[Token]) -> bool:
    """Tell whether the line changes a number by something: '+40'."""
    return any(isinstance(t, Delta) for t in tokens)


def spans(tokens: Sequence[Token]) -> tuple[Range, ...]:
    """Return the ranges of the line."""
    return tuple(t for t in tokens if isinstance(t, Range))
