"""A sloppy answer to the fields it fills: '2.5cm 592g' is a thickness and the next weight."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from core.errors import KitchenError
from core.model import Label, Line, say
from core.trial.event_values import Context
from core.trial.fields import UNKNOWN, Field, Kind
from core.trial.goods import WordsError
from core.trial.one import Amount, amounts_in, one_of, sized, unplaced
from core.trial.sense import number_of, weight_of
from core.trial.series import OFF, joined, pairs_in, series_of
from core.words.atoms import folded

_SKIPS = frozenset({"skip", "dont know", "no idea", "unknown", "salta", "no se", "ni idea"})
_BARE = frozenset({Kind.COUNT, Kind.MASS, Kind.LENGTH, Kind.FIRE, Kind.CORE, Kind.MINUTES})
BRINE_LEAST = 0.97
"""A brined piece weighs at least this much of the raw one (common practice: it gains)."""
_LEAD = (":", "=", "is", "es", "son", "to", "a", "now", "ahora")


@dataclass(frozen=True, slots=True)
class Filled:
    """Fields and what they now are; `doubts` are readings that were a guess, shown."""

    values: Mapping[str, str]
    doubts: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Refused:
    """It was meant for the draft and cannot be."""

    line: Line
    about: Field | None = None
    """The field that must be asked again; None for the one that was asked."""


@dataclass(frozen=True, slots=True)
class NotMine:
    """Nothing in it is about the draft."""


Read = Filled | Refused | NotMine


@dataclass(frozen=True, slots=True)
class Sheet:
    """A draft as an answer meets it: its fields, what they are, and which was asked."""

    fields: tuple[Field, ...]
    values: Mapping[str, str]
    asked: Field | None
    lang: str = "en"
    context: Context = field(default_factory=Context)

    def missing(self, kind: Kind) -> tuple[Field, ...]:
        """Return the fields of a kind that are open, in order."""
        return tuple(f for f in self.fields if f.kind is kind and not self.values.get(f.name))


def read_answer(text: str, sheet: Sheet) -> Read:
    """Return what an answer does to a draft.

    Parameters
    ----------
    text
        What was typed.
    sheet
        The draft as it stands.

    Returns
    -------
    Filled, Refused or NotMine
        The fields it fills; why it cannot be; or that it is about something else.
    """
    plain = _plain(text)
    if not plain:
        return NotMine()
    if plain in _SKIPS and sheet.asked is not None:
        return _skipped(sheet.asked)
    named = _named(text, plain, sheet)
    if named is not None:
        return _of_field(named[0], named[1], sheet)
    if sheet.asked is not None:
        if (tapped := tap_of(sheet.asked, plain)) is not None:
            return _set(sheet.asked, tapped, sheet)
        if sheet.asked.kind in _BARE and _of_another(text, sheet.asked, sheet):
            return _by_units(text, sheet)
        read = _alone(text, sheet.asked, sheet)
        if read is not None:
            return read
    return _tapped_elsewhere(plain, sheet) or _by_units(text, sheet)


def tap_of(asked: Field, plain: str) -> str | None:
    """Return the value of the tap that these folded words are."""
    return next((tap.value for tap in asked.taps if plain in tap.words), None)


def _tapped_elsewhere(plain: str, sheet: Sheet) -> Filled | None:
    """Return an answer to another question where only that one has it: 'no brine', any time."""
    having = [f for f in sheet.fields if len(plain.split()) > 1 and tap_of(f, plain) is not None]
    if len(having) != 1 or having[0].kind is Kind.SERIES:
        return None
    return Filled({having[0].name: tap_of(having[0], plain) or ""})


def _plain(text: str) -> str:
    words = folded(text).replace(",", " ").replace(".", " ") if not _digits(text) else folded(text)
    return " ".join(words.strip(" !?;:").split())


def _digits(text: str) -> bool:
    return any(c.isdigit() for c in text)


def _skipped(asked: Field) -> Read:
    if asked.must:
        return Refused(say("The card needs it: {title}.", title=asked.title), asked)
    return Filled({asked.name: UNKNOWN})


def _named(text: str, plain: str, sheet: Sheet) -> tuple[Field, str] | None:
    """Return the field whose name opens the line, and the rest: 'thickness 3 cm'."""
    if _several(text, sheet):
        return None
    best: tuple[int, Field, str] | None = None
    for each in sheet.fields:
        for name in each.words:
            if plain == name or (
                not plain.startswith(f"{name} ") and not plain.startswith(f"{name}:")
            ):
                continue
            if best is None or len(name) > best[0]:
                best = (len(name), each, name)
    if best is None:
        return None
    count = len(best[2].split())
    rest = " ".join(text.replace(":", " : ", 1).split()[count:])
    for lead in _LEAD:
        if rest.casefold().startswith(f"{lead} "):
            rest = rest[len(lead) :].strip()
    return best[1], rest


def _of_another(text: str, asked: Field, sheet: Sheet) -> bool:
    """Say whether a line names another field than the one asked: '740 g after rest'."""
    found = amounts_in(text, sheet.fields, sheet.lang)
    return any(a.label not in {None, asked.name} for a in found)


def _several(text: str, sheet: Sheet) -> bool:
    """Say whether a line holds several amounts, each with its own name or unit."""
    found = amounts_in(text, sheet.fields, sheet.lang)
    return len({a.label for a in found if a.label}) > 1


def _of_field(each: Field, rest: str, sheet: Sheet) -> Read:
    """Return what the words behind a field's name make of it."""
    plain = _plain(rest)
    if plain in _SKIPS:
        return _skipped(each)
    if (tapped := tap_of(each, plain)) is not None:
        return _set(each, tapped, sheet)
    read = _alone(rest, each, sheet)
    return read if read is not None else Refused(_no(rest, each), each)


def _alone(text: str, each: Field, sheet: Sheet) -> Read | None:
    """Return the whole text as one field's value; None if it is not that."""
    if each.kind is Kind.SERIES:
        pairs = pairs_in(text)
        if pairs is None:
            return None
        done = series_of(sheet.values.get(each.name, ""))[1] or len(pairs) > 1
        return Filled({each.name: joined(sheet.values.get(each.name, ""), pairs, off=done)})
    try:
        value = one_of(each, text, sheet.lang, sheet.context)
    except WordsError as bad:
        return Refused(bad.line)
    except KitchenError as bad:
        return Refused(Line(bad.template, {k: _shown(v) for k, v in bad.fields.items()}))
    if value is None:
        return None
    return Filled({each.name: value[0]}, value[1])


def _shown(value: object) -> Label:
    return Label(str(value))


def _set(each: Field, value: str, sheet: Sheet) -> Read:
    if each.kind is Kind.SERIES and value == OFF:
        had = sheet.values.get(each.name, "")
        if not had:
            return Refused(each.ask)
        return Filled({each.name: joined(had, (), off=True)})
    return Filled({each.name: value})


def _by_units(text: str, sheet: Sheet) -> Read:
    """Fill several fields by the units of what was typed, the one asked first."""
    found = amounts_in(text, sheet.fields, sheet.lang)
    if not found:
        return NotMine()
    if (strange := unplaced(text, sheet.lang)) is not None:
        return Refused(say("Which one is {text}? Say its name first.", text=Label(strange)))
    values: dict[str, str] = {}
    doubts: list[Line] = []
    for amount in found:
        each = _meant(amount, sheet, values)
        if isinstance(each, Refused):
            return each
        try:
            fitted = sized(amount, each)
        except WordsError as bad:
            return Refused(bad.line, each)
        if fitted is None:
            return Refused(_no(amount.text, each), each)
        values[each.name] = fitted[0]
        doubts += fitted[1]
    return Filled(values, tuple(doubts))


def _meant(amount: Amount, sheet: Sheet, taken: Mapping[str, str]) -> Field | Refused:
    """Return the field an amount is for: named, asked for, or the next open one of its kind."""
    if amount.label is not None:
        return next(f for f in sheet.fields if f.name == amount.label)
    asked = sheet.asked
    if asked is not None and asked.kind in amount.kinds and asked.name not in taken:
        return asked
    if not amount.unit:  # a bare number answers what was asked, or nothing
        bare = asked is not None and asked.kind in _BARE
        return (
            asked
            if bare and asked is not None
            else Refused(say("Which one is {text}? Say its name first.", text=Label(amount.text)))
        )
    if Kind.MASS in amount.kinds:
        each = _next_weight(amount, sheet, taken)
        return each if each is not None else _which(amount)
    for kind in amount.kinds:
        for each in sheet.missing(kind):
            if each.name not in taken:
                return each
    return _which(amount)


def _which(amount: Amount) -> Refused:
    return Refused(say("Which one is {text}? Say its name first.", text=Label(amount.text)))


def _no(text: str, each: Field) -> Line:
    return say("'{text}' is no {title}.", text=Label(text[:40]), title=each.title)


def _next_weight(amount: Amount, sheet: Sheet, taken: Mapping[str, str]) -> Field | None:
    """Return the open weight that an amount nobody named is for: a brine takes nothing away.

    What is too light to be a weight after the brine is the one that the card cannot do without.
    """
    values = {**sheet.values, **taken}
    open_ = [f for f in sheet.missing(Kind.MASS) if f.name not in taken]
    raw = weight_of(values, "trimmed") or weight_of(values, "bought")
    try:
        fitted = sized(amount, open_[0]) if open_ else None
    except WordsError:
        return open_[0]  # asked there, where its words are shown
    if fitted is None:
        return None
    light = raw is not None and (number_of(fitted[0]) or 0) < raw * BRINE_LEAST
    fits = [f for f in open_ if not (light and f.name == "brined")]
    must = [f for f in fits if f.must]
    return next(iter(must if light and must else fits), None)
