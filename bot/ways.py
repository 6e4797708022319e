"""Values to JSON text and back, each way derived from type hints once and kept.

Keys are sorted and there are no spaces, so equal values give equal bytes, which the chain of
hashes rests on. Instants are UTC text, a tuple is a list, a member of a union carries its `type`.
What is written is made as text at once, not as JSON values first: that is twice as fast.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import MISSING, fields, is_dataclass
from datetime import UTC, date, datetime
from enum import Enum
from json.encoder import encode_basestring
from math import isfinite
from operator import attrgetter
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from core.errors import KitchenError

Json = Any
Way = Callable[[Any], Any]


class UnreadableError(KitchenError):
    """Stored text that this version cannot read, or a value that cannot be stored."""

    template = "The stored {what} cannot be read: {why}."
    hint = "It may have been written by a newer version: update, then try again."

    def __init__(self, what: str, why: str) -> None:
        super().__init__(what=what, why=why)


class MismatchError(Exception):
    """A value that does not fit its type hint; becomes an UnreadableError with its document."""


# ------------------------------------------------------------------ scalars


def _plain(kind: type, text: Callable[[Any], str], *also: type) -> tuple[Way, Way]:
    """Return both ways for a scalar that JSON has itself; a bool is never taken for a number."""

    def checked(value: Any) -> Any:
        if type(value) is kind:
            return value
        if isinstance(value, (kind, *also)) and not isinstance(value, bool):
            return kind(value)  # a StrEnum as its text, an int as a float
        raise MismatchError(f"{value!r:.60} is no {kind.__name__}")

    def encode(value: Any) -> str:
        return text(value if type(value) is kind else checked(value))

    return encode, checked


def _number(value: float) -> str:
    """Return a float as JSON has it; what is no number is refused."""
    if not isfinite(value):
        raise MismatchError(f"{value} is no number")
    return float.__repr__(value)


def instant_text(value: datetime) -> str:
    """Return an instant as stored: UTC, to the microsecond where it has any."""
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise MismatchError(f"{value!r} is no instant with a zone")
    return value.astimezone(UTC).isoformat()[:-6] + "Z"


def instant(text: str) -> datetime:
    """Return the instant stored as this text."""
    value = datetime.fromisoformat(text)
    if value.tzinfo is None:
        raise MismatchError(f"{text!r} has no zone")
    return value


def _quoted_instant(value: datetime) -> str:
    return f'"{instant_text(value)}"'


def _quoted_date(value: date) -> str:
    return f'"{date.isoformat(value)}"'


def _nothing(value: Any) -> None:
    if value is not None:
        raise MismatchError(f"{value!r:.60} where nothing was expected")


def _null(value: Any) -> str:
    _nothing(value)
    return "null"


_SCALARS: dict[Any, tuple[Way, Way]] = {
    str: _plain(str, encode_basestring),
    int: _plain(int, int.__repr__),
    bool: _plain(bool, lambda value: "true" if value else "false"),
    float: _plain(float, _number, int),
    datetime: (_quoted_instant, instant),
    date: (_quoted_date, date.fromisoformat),
    NoneType: (_null, _nothing),
}


# ------------------------------------------------------------------ from type hints to both ways

_WAYS: dict[Any, tuple[Way, Way]] = dict(_SCALARS)


def ways(hint: Any) -> tuple[Way, Way]:
    """Return how a value of this type becomes JSON values, and how they become it again."""
    if hint not in _WAYS:
        _WAYS[hint] = _later(hint)  # a Line holds Lines: the inner one is looked up when used
        _WAYS[hint] = _derived(hint)
    return _WAYS[hint]


def _later(hint: Any) -> tuple[Way, Way]:
    def encode(value: Any) -> Json:
        return _WAYS[hint][0](value)

    def decode(stored: Json) -> Any:
        return _WAYS[hint][1](stored)

    return encode, decode


def _derived(hint: Any) -> tuple[Way, Way]:
    origin, args = get_origin(hint), get_args(hint)
    if origin in {Union, UnionType}:
        return _union(args)
    if origin is tuple and args[-1] is Ellipsis:
        return _sequence(*ways(args[0]))
    if origin is tuple:
        return _row([ways(a) for a in args])
    if isinstance(origin, type) and issubclass(origin, Mapping) and args[0] is str:
        return _mapping(*ways(args[1]))
    if isinstance(hint, type) and issubclass(hint, Enum):
        return _enum(hint)
    if isinstance(hint, type) and is_dataclass(hint):
        return record(hint)
    raise TypeError(f"the codec has no way to store {hint!r}")


def _sequence(to: Way, back: Way) -> tuple[Way, Way]:
    def encode(values: Any) -> Json:
        if not isinstance(values, tuple):
            raise MismatchError(f"{values!r:.60} is no tuple")
        return f"[{','.join([to(v) for v in values])}]"

    return encode, lambda values: tuple([back(v) for v in values])


def _row(columns: list[tuple[Way, Way]]) -> tuple[Way, Way]:
    def encode(values: Any) -> Json:
        return f"[{','.join([to(v) for (to, _), v in zip(columns, values, strict=True)])}]"

    def decode(values: Json) -> Any:
        return tuple([back(v) for (_, back), v in zip(columns, values, strict=True)])

    return encode, decode


def _mapping(to: Way, back: Way) -> tuple[Way, Way]:
    key, _ = ways(str)

    def encode(values: Any) -> Json:
        return f"{{{','.join([f'{key(k)}:{to(values[k])}' for k in sorted(values)])}}}"

    return encode, lambda values: {k: back(v) for k, v in values.items()}


def _enum(kind: type[Enum]) -> tuple[Way, Way]:
    def encode(value: Any) -> Json:
        if not isinstance(value, kind):
            raise MismatchError(f"{value!r:.60} is no {kind.__name__}")
        return texts[value]

    texts = {member: json_text(member.value) for member in kind}
    members = {member.value: member for member in kind}

    def decode(value: Json) -> Any:
        if value not in members:
            raise MismatchError(f"{value!r:.60} is no {kind.__name__}")
        return members[value]

    return encode, decode


def record(kind: type, also: Mapping[str, Json] | None = None) -> tuple[Way, Way]:
    """Return both ways for a dataclass; `also` is written with it, and not read."""
    hints = get_type_hints(kind)
    names = [f.name for f in fields(kind)]
    needed = {f.name for f in fields(kind) if f.default is MISSING and f.default_factory is MISSING}
    ordered = sorted(names)
    to = [ways(hints[name])[0] for name in ordered]
    back = {name: ways(hints[name])[1] for name in names}
    form = _form(ordered, also or {})
    values_of: Way = attrgetter(*ordered) if len(names) > 1 else lambda v: [getattr(v, ordered[0])]

    def encode(value: Any) -> Json:
        if type(value) is not kind:
            raise MismatchError(f"{value!r:.60} is no {kind.__name__}")
        return form % tuple([way(v) for way, v in zip(to, values_of(value), strict=True)])

    def decode(stored: Json) -> Any:
        if not isinstance(stored, dict) or not needed <= stored.keys():
            missing = sorted(needed - set(stored if isinstance(stored, dict) else ()))
            raise MismatchError(f"{kind.__name__} lacks {', '.join(missing)}")
        if not stored.keys() <= back.keys():
            raise MismatchError(f"{kind.__name__} has no {', '.join(stored.keys() - back.keys())}")
        return kind(**{name: back[name](value) for name, value in stored.items()})

    return (encode, decode) if names else (lambda _: form, lambda _: kind())


def _form(names: Sequence[str], also: Mapping[str, Json]) -> str:
    """Return an object's text with a place for the value of each name, in the order of names."""
    written = dict.fromkeys(names, "%s")
    written |= {name: json_text(value).replace("%", "%%") for name, value in also.items()}
    return f"{{{','.join(f'{json_text(n)}:{written[n]}' for n in sorted(written))}}}"


def _union(members: tuple[Any, ...]) -> tuple[Way, Way]:
    """Return both ways for a union: what JSON cannot tell apart carries its type."""
    real = [m for m in members if m is not NoneType]
    if len(real) == 1 and len(members) == 2:
        to, back = ways(real[0])
        return (
            lambda v: "null" if v is None else to(v),
            lambda v: None if v is None else back(v),
        )
    tagged = {m: m.__name__ for m in members if is_dataclass(m) or issubclass(m, Enum)}
    refuse_names(tagged, {"type"})
    bare = [m for m in members if m not in tagged]

    tagging: dict[type, Way] = {}  # made when first wanted: a Line holds Lines

    def encode(value: Any) -> Json:
        kind = type(value)
        if kind not in tagged:
            return _bare(bare, value, 0)
        if kind not in tagging:
            tagging[kind] = _tagged(kind, tagged[kind])
        return tagging[kind](value)

    by_name = {name: m for m, name in tagged.items()}

    def decode(stored: Json) -> Any:
        if not isinstance(stored, dict):
            return _bare(bare, stored, 1)
        inner = dict(stored)
        kind = by_name.get(inner.pop("type", None))
        if kind is None:
            raise MismatchError(f"unknown type {stored.get('type')!r}")
        return ways(kind)[1](inner if is_dataclass(kind) else inner["value"])

    return encode, decode


def refuse_names(kinds: Iterable[Any], taken: set[str]) -> None:
    """Raise when a record has a field whose name the stored form needs for itself."""
    for kind in kinds:
        clash = taken & {f.name for f in fields(kind)} if is_dataclass(kind) else None
        if clash:
            raise TypeError(f"{kind.__name__} may have no field {clash}: the codec needs the name")


def _tagged(kind: Any, name: str) -> Way:
    """Return how a member of a union is written: with its type beside it."""
    if isinstance(kind, type) and is_dataclass(kind):
        return record(kind, {"type": name})[0]
    to = ways(kind)[0]
    return lambda value: f'{{"type":"{name}","value":{to(value)}}}'


def _bare(kinds: list[Any], value: Any, way: int) -> Any:
    """Return a scalar that some of these take, as the first that takes it exactly."""
    exact = [k for k in kinds if type(value) is k]
    for kind in exact or kinds:
        try:
            return ways(kind)[way](value)
        except MismatchError:
            continue
    raise MismatchError(f"{value!r:.60} is none of {', '.join(k.__name__ for k in kinds)}")


# ------------------------------------------------------------------ JSON values

_WRITER = json.JSONEncoder(
    sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False
)


def json_text(document: Json) -> str:
    """Return JSON values as text: one way to write them, so equal values are equal bytes."""
    try:
        text = _WRITER.encode(document)
        text.encode()  # half a character cannot be stored
    except ValueError as wrong:
        raise UnreadableError("value", str(wrong)) from wrong
    return text


def json_values(text: str) -> Json:
    """Return the JSON values in a text."""
    try:
        return json.loads(text)
    except ValueError as wrong:
        raise UnreadableError("entry", "it is no JSON") from wrong
