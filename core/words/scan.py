"""A line being read: its atoms, and what stands at a place in it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from core.words.atoms import Atom
from core.words.numerals import BIG_WORDS, number_word, readings
from core.words.recognise import phrase_concept, recognised
from core.words.tokens import Token
from core.words.vocabulary import COUNTED

Found = tuple[tuple[Token, ...], int]
"""Tokens read and how many atoms they took."""

UNITS = {
    spelling: unit
    for unit, spellings in {
        "kg": "kg kgs kilo kilos kilogram kilograms kilogramo kilogramos",
        "g": "g gr grs gram grams gramo gramos",
        "mg": "mg",
        "lb": "lb lbs pound pounds libra libras",
        "oz": "oz ounce ounces onza onzas",
        "L": "l lt lts litre litres liter liters litro litros",
        "mL": "ml mililitro mililitros millilitre millilitres",
        "cL": "cl",
        "gal": "gal gals gallon gallons galon galones",
        "qt": "qt qts quart quarts",
        "pt": "pint pints pinta pintas",
        "cup": "cup cups taza tazas",
        "tbsp": "tbsp tbs tablespoon tablespoons cucharada cucharadas",
        "tsp": "tsp teaspoon teaspoons cucharadita cucharaditas",
        "cm": "cm centimetros centimetres centimeters",
        "mm": "mm",
        "m": "m metre metres meter meters metro metros",
        "in": "inch inches pulgada pulgadas",
        "ft": "ft foot feet",
        "°C": "c celsius centigrados",
        "°F": "f fahrenheit farenheit",
        "°": "° deg degree degrees grado grados",
        "%": "% percent pct",
        "min": "min mins minute minutes minuto minutos",
        "h": "h hr hrs hour hours hora horas",
        "s": "s sec secs seconds segundos",
        "day": "day days dia dias",
        "kW": "kw",
        "W": "w watts",
        "ppm": "ppm",
        "km/h": "kmh kph",
        "mph": "mph",
    }.items()
    for spelling in spellings.split()
}
_TWO_ATOM_UNITS = {
    ("fl", "oz"): "fl oz",
    ("por", "ciento"): "%",
    ("°", "c"): "°C",
    ("°", "f"): "°F",
    ("deg", "c"): "°C",
    ("deg", "f"): "°F",
    ("grados", "c"): "°C",
    ("grados", "f"): "°F",
    ("grados", "centigrados"): "°C",
    ("grados", "fahrenheit"): "°F",
    ("degrees", "c"): "°C",
    ("degrees", "f"): "°F",
    ("degrees", "celsius"): "°C",
    ("degrees", "fahrenheit"): "°F",
}
_ONLY_GLUED = {"in": "in", '"': "in"}
_COARSE = frozenset({"kg", "L", "lb", "gal", "m", "h", "kW", "ft"})


@dataclass(frozen=True, slots=True)
class Scan:
    """A tidy line with its atoms and the language it is read in."""

    line: str
    atoms: tuple[Atom, ...]
    lang: str

    def folded(self, i: int) -> str:
        """Return the folded atom at `i`, '' past either end."""
        return self.atoms[i].folded if 0 <= i < len(self.atoms) else ""

    def kind(self, i: int) -> str:
        """Return the kind of the atom at `i`, '' past either end."""
        return self.atoms[i].kind if 0 <= i < len(self.atoms) else ""

    def glued(self, i: int) -> bool:
        """Tell whether the atom at `i` stands directly behind the one before."""
        return 0 <= i < len(self.atoms) and self.atoms[i].glued

    def text(self, i: int, count: int) -> str:
        """Return what was typed from atom `i` on, `count` atoms."""
        return self.line[self.atoms[i].start : self.atoms[i + count - 1].end]

    def concept(self, i: int) -> str:
        """Return the concept of the single word at `i`, '' where there is none."""
        if self.kind(i) not in {"word", "tail"}:
            return ""
        word = recognised(self.atoms[i].text, self.lang)
        return word.canonical if word.known else ""

    def phrase(self, i: int, count: int) -> tuple[str, str] | None:
        """Return (concept, lang) of `count` words from `i` on, spelled exactly."""
        part = self.atoms[i : i + count]
        if len(part) < count or any(a.kind not in {"word", "tail"} for a in part):
            return None
        return phrase_concept(" ".join(a.folded for a in part), self.lang)

    def unit(self, i: int) -> tuple[str, int] | None:
        """Return the unit at `i` and how many atoms it takes."""
        first, second = self.folded(i), self.folded(i + 1)
        pair = _TWO_ATOM_UNITS.get((first, second))
        if pair is not None:
            return pair, 2
        if first == "km" and second == "/" and self.folded(i + 2) == "h":
            return "km/h", 3
        if self.glued(i) and first in _ONLY_GLUED:
            return _ONLY_GLUED[first], 1
        return (UNITS[first], 1) if first in UNITS else None

    def counted(self, i: int) -> str:
        """Return how a number before `i` is to be read: count, fine, coarse or ''."""
        unit = self.unit(i)
        if unit is not None:
            return "coarse" if unit[0] in _COARSE else "fine"
        return "count" if self.concept(i) in COUNTED else ""

    def number(self, i: int, kind: str = "") -> tuple[float, ...]:
        """Return the readings of the single number at `i`, digits or word; () if it is none."""
        if BIG_WORDS & {self.folded(i - 1), self.folded(i + 1)}:
            return ()
        if self.kind(i) == "number":
            return readings(self.folded(i), self.lang, kind)
        if self.kind(i) == "word":
            value = number_word(self.folded(i), self.lang)
            return () if value is None else (float(value),)
        return ()

    def integer(self, i: int) -> int | None:
        """Return the plain digits at `i` as a whole number."""
        text = self.folded(i)
        plain = self.kind(i) == "number" and text.isdecimal() and len(text) <= 9
        return int(text) if plain else None


Reader = Callable[[Scan, int], "Found | None"]
