"""One amount, or one whole answer, to the value that is kept of it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from core.model import Label, Line, Qty, say
from core.trial.event_values import Context, event_value
from core.trial.fields import Field, Kind
from core.trial.goods import WordsError, allergens_text, goods_text
from core.trial.sense import MASS_KG
from core.words import (
    Delta,
    Num,
    Quantity,
    Range,
    Ratio,
    Size,
    Time,
    Times,
    Token,
    Word,
    lex,
    pit_temperature_c,
)
from core.words.atoms import folded

_KG = {"kg": 1.0, "g": 0.001, "mg": 1e-6, "lb": 0.45359237, "oz": 0.028349523125}
"""NIST Handbook 44, Appendix C: 1 lb = 0.453 592 37 kg exactly, 16 oz."""
_CM = {"cm": 1.0, "mm": 0.1, "m": 100.0, "in": 2.54, "ft": 30.48}
_MIN = {"min": 1.0, "h": 60.0, "s": 1 / 60, "day": 1440.0}
_DEGREES = frozenset({"°C", "°F", "°"})
_SURE_GRAMS = 50.0  # a bare weight below may be kg
_PRICE = re.compile(
    r"^\D{0,4}?(\d{1,6}(?:[.,]\d{1,2})?)\s*(?:[€£$]|eur|gbp|usd)?\s*(?:/|per|a|the|el|por|al)?\s*"
    r"(kg|kilo|lb)?\s*$",
    re.IGNORECASE,
)
_RAW = frozenset({"raw", "crudo", "crudos", "cruda"})
_COOKED = frozenset({"cooked", "plate", "served", "cocinado", "cocinada", "plato", "hecho"})
_PIECES = frozenset({"pieces", "piece", "pieza", "piezas", "pcs"})


@dataclass(frozen=True, slots=True)
class Amount:
    """A number of an answer: its unit, the kinds of field it may fill, the name beside it."""

    value: float
    unit: str
    text: str
    kinds: tuple[Kind, ...]
    label: str | None = None
    others: tuple[float, ...] = ()
    """What the number may also be: '1.234' is 1234 to some."""


Value = tuple[str, tuple[Line, ...]]


def amounts_in(text: str, fields: Sequence[Field], lang: str) -> tuple[Amount, ...]:
    """Return every amount of a line, each with the name of the field beside it.

    A name stands before its amount, or behind it where the line begins with an amount.
    """
    tokens = lex(text, lang)
    spots = [i for i, t in enumerate(tokens) if isinstance(t, Num | Quantity)]
    if not spots:
        return ()
    leads = _label(tokens[: spots[0]], fields)
    found: list[Amount] = []
    for n, i in enumerate(spots):
        before = spots[n - 1] + 1 if n else 0
        after = spots[n + 1] if n + 1 < len(spots) else len(tokens)
        between = tokens[before:i] if leads else tokens[i + 1 : after]
        found.append(_amount(tokens[i], _label(between, fields)))
    return tuple(found)


def unplaced(text: str, lang: str) -> str | None:
    """Return the first thing in a line that is a number but no amount: a range, '+5', '3x4'."""
    odd = Delta | Range | Ratio | Size | Times
    return next((t.text for t in lex(text, lang) if isinstance(t, odd)), None)


def _amount(token: Token, label: str | None) -> Amount:
    assert isinstance(token, Num | Quantity)
    unit = token.unit if isinstance(token, Quantity) else ""
    return Amount(token.value, unit, token.text, _kinds(unit), label, token.alternatives)


def _kinds(unit: str) -> tuple[Kind, ...]:
    if unit in _KG:
        return (Kind.MASS,)
    if unit in _CM:
        return (Kind.LENGTH,)
    if unit in _MIN:
        return (Kind.MINUTES,)
    if unit in _DEGREES:
        return (Kind.FIRE, Kind.CORE)
    return () if unit else (Kind.COUNT, Kind.FIRE, Kind.CORE, Kind.LENGTH, Kind.MASS, Kind.MINUTES)


def _label(tokens: Sequence[Token], fields: Sequence[Field]) -> str | None:
    """Return the field that these words name, the longest name first."""
    said = " ".join(folded(t.text) for t in tokens if isinstance(t, Word))
    names = sorted(((w, f.name) for f in fields for w in f.words), key=lambda x: -len(x[0]))
    return next((f for w, f in names if re.search(rf"\b{re.escape(w)}\b", said)), None)


def sized(amount: Amount, each: Field) -> Value | None:
    """Return an amount as a field keeps it; None if its unit cannot be that."""
    amount = _told_apart(amount, each)
    value, unit = amount.value, amount.unit
    match each.kind:
        case Kind.COUNT:
            whole = value == int(value) and not unit
            return (str(int(value)), ()) if whole else None
        case Kind.MASS:
            return _mass(amount)
        case Kind.LENGTH:
            size = _CM.get(unit or "cm")
            return (f"{value * size:.6g} cm", ()) if size else None
        case Kind.MINUTES:
            long = _MIN.get(unit or "min")
            return (f"{value * long:.6g} min", ()) if long else None
        case Kind.FIRE:
            return _fire(value, unit)
        case Kind.CORE:
            return _core(value, unit)
        case _:
            return None


def _told_apart(amount: Amount, each: Field) -> Amount:
    """Return an amount as the one number it can be: '1.234 kg' on a scale is no ton.

    Raises
    ------
    WordsError
        If it may be either.
    """
    if not amount.others:
        return amount
    scale = _KG.get(amount.unit or "g", 0.0)
    values = (amount.value, *amount.others)
    can = [v for v in values if MASS_KG[0] <= v * scale <= MASS_KG[1]]
    if each.kind is not Kind.MASS or len(can) != 1:
        shown = Label(amount.text)
        raise WordsError(say("{text} can be two numbers. Write it in g or cm.", text=shown))
    return replace(amount, value=can[0], others=())


def _mass(amount: Amount) -> Value | None:
    if not amount.unit and amount.value < _SURE_GRAMS:
        return None  # 1.2 may be kg or g: it is asked, not guessed
    scale = _KG.get(amount.unit or "g")
    return (f"{amount.value * scale:.6g} kg", ()) if scale else None


def _fire(value: float, unit: str) -> Value | None:
    if unit and unit not in _DEGREES:
        return None
    read = pit_temperature_c(value, unit or None, "smoke" if value < 180 else None)
    if read is None:
        return None
    doubt = () if read.unit == "°C" else (_echo(read.celsius, value),)
    return f"{read.celsius:.4g} C", doubt


def _core(value: float, unit: str) -> Value | None:
    if unit and unit not in _DEGREES:
        return None
    fahrenheit = unit == "°F" or (unit != "°C" and 110 < value <= 212)
    celsius = (value - 32) * 5 / 9 if fahrenheit else value
    doubt = (_echo(celsius, value),) if fahrenheit else ()
    return f"{celsius:.4g} C", doubt


def _echo(celsius: float, value: float) -> Line:
    return say("Read {value} as {celsius}.", value=Qty(value, "°F"),
               celsius=Qty(round(celsius, 1), "°C"))  # fmt: skip


def one_of(each: Field, text: str, lang: str, context: Context) -> Value | None:
    """Return a whole answer as one field's value; None if it is none.

    Raises
    ------
    KitchenError
        If it is one, and cannot be.
    """
    match each.kind:
        case Kind.DAY | Kind.WINDOW | Kind.SPLIT | Kind.PACE | Kind.PLACE | Kind.EMERGENCY:
            return event_value(each.kind, text, context)
        case Kind.PEAK:
            return _pair(text, lang, first=Kind.CORE)
        case Kind.SEAR:
            return _pair(text, lang, first=Kind.MINUTES)
        case Kind.PORTION:
            return _portion(text, lang)
        case Kind.PRICE:
            return _price(text)
        case Kind.GOODS:
            return goods_text(text)
        case Kind.ALLERGENS:
            return allergens_text(text)
        case Kind.NAME:
            name = " ".join(text.split())[:60]
            return (name, ()) if name else None
        case _:
            return _single(each, text, lang)


def _single(each: Field, text: str, lang: str) -> Value | None:
    tokens = lex(text, lang)
    amounts = [t for t in tokens if isinstance(t, Num | Quantity)]
    if len(amounts) != 1 or any(isinstance(t, Time) for t in tokens):
        return None
    return sized(_amount(amounts[0], None), each)


def _pair(text: str, lang: str, first: Kind) -> Value | None:
    """Return two numbers, told apart by their units, else by their order."""
    amounts = [_amount(t, None) for t in lex(text, lang) if isinstance(t, Num | Quantity)]
    if len(amounts) != 2:
        return None
    one, other = amounts
    hot = {"°C", "°F", "°"}
    if one.unit in _MIN or other.unit in hot:
        minutes, heat = one, other
    elif other.unit in _MIN or one.unit in hot or first is Kind.CORE:
        minutes, heat = other, one
    else:
        minutes, heat = one, other
    lasts = _MIN.get(minutes.unit or "min")
    read = _core(heat.value, heat.unit) if first is Kind.CORE else _fire(heat.value, heat.unit)
    if lasts is None or read is None:
        return None
    celsius = float(read[0].split()[0])
    time = minutes.value * lasts
    kept = f"{celsius:g}:{time:g}" if first is Kind.CORE else f"{time:g}:{celsius:g}"
    return kept, read[1]


def _portion(text: str, lang: str) -> Value | None:
    """Return '1 pieces', '0.19 kg raw' or '0.15 kg cooked'."""
    tokens = lex(text, lang)
    amounts = [_amount(t, None) for t in tokens if isinstance(t, Num | Quantity)]
    words = {folded(t.text) for t in tokens if isinstance(t, Word)}
    words |= {t.canonical for t in tokens if isinstance(t, Word)}
    if len(amounts) != 1:
        return None
    amount = amounts[0]
    if amount.unit in _KG:
        if amount.others:
            raise WordsError(say("{text} can be two numbers. Write it in g or cm.",
                                 text=Label(amount.text)))  # fmt: skip
        state = "cooked" if words & _COOKED else "raw" if words & _RAW else None
        if state is None:
            shown = Label(amount.text)
            raise WordsError(say("{text} raw or cooked? Say it behind.", text=shown))
        return f"{amount.value * _KG[amount.unit]:.6g} kg {state}", ()
    if not amount.unit and (words & _PIECES or amount.value <= 20) and amount.value > 0:
        return f"{amount.value:g} pieces", ()
    return None


def _price(text: str) -> Value | None:
    found = _PRICE.match(text.strip())
    if found is None:
        return None
    price = float(found[1].replace(",", "."))
    if (found[2] or "").casefold() == "lb":
        price /= _KG["lb"]
    return f"{price:.6g}", ()
