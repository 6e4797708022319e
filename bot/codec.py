"""Facts and messages to versioned JSON text and back: the stored format.

One document is one object: `{"type": "StepReported", "v": 1, …fields…}`. Keys are sorted and there
are no spaces, so equal values give equal bytes, which the chain of hashes rests on. Instants are
UTC text, a tuple is a list, a member of a union carries its `type`. Everything is read from the
type hints once and kept. A new field with a default needs nothing here; any other change of shape
needs an upcaster, which turns the fields of an old version into those of the next *when read*:
stored bytes are never rewritten.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import UTC, date, datetime
from enum import Enum
from operator import attrgetter
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from bot.ports import Incoming, Outgoing
from core.errors import KitchenError
from core.facts import Fact

Json = Any
Way = Callable[[Any], Any]
Upcaster = Callable[[dict[str, Json]], dict[str, Json]]


class UnreadableError(KitchenError):
    """Stored text that this version cannot read, or a value that cannot be stored."""

    template = "The stored {what} cannot be read: {why}."
    hint = "It may have been written by a newer version: update, then try again."

    def __init__(self, what: str, why: str) -> None:
        super().__init__(what=what, why=why)


class _MismatchError(Exception):
    """A value that does not fit its type hint; becomes an UnreadableError with its document."""


# ------------------------------------------------------------------ scalars


def _plain(kind: type, *also: type) -> tuple[Way, Way]:
    """Return both ways for a scalar that JSON has itself; a bool is never taken for a number."""

    def checked(value: Any) -> Any:
        if type(value) is kind:
            return value
        if isinstance(value, (kind, *also)) and not isinstance(value, bool):
            return kind(value)  # a StrEnum as its text, an int as a float
        raise _MismatchError(f"{value!r:.60} is no {kind.__name__}")

    return checked, checked


def instant_text(value: datetime) -> str:
    """Return an instant as stored: UTC, to the microsecond where it has any."""
    if not isinstance(value, datetime) or value.tzinfo is None:
        raise _MismatchError(f"{value!r} is no instant with a zone")
    return value.astimezone(UTC).isoformat()[:-6] + "Z"


def instant(text: str) -> datetime:
    """Return the instant stored as this text."""
    value = datetime.fromisoformat(text)
    if value.tzinfo is None:
        raise _MismatchError(f"{text!r} has no zone")
    return value


def _nothing(value: Any) -> None:
    if value is not None:
        raise _MismatchError(f"{value!r:.60} where nothing was expected")


_SCALARS: dict[Any, tuple[Way, Way]] = {
    str: _plain(str),
    int: _plain(int),
    bool: _plain(bool),
    float: _plain(float, int),
    datetime: (instant_text, instant),
    date: (date.isoformat, date.fromisoformat),
    NoneType: (_nothing, _nothing),
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
        return _record(hint)
    raise TypeError(f"the codec has no way to store {hint!r}")


def _sequence(to: Way, back: Way) -> tuple[Way, Way]:
    def encode(values: Any) -> Json:
        if not isinstance(values, tuple):
            raise _MismatchError(f"{values!r:.60} is no tuple")
        return [to(v) for v in values]

    return encode, lambda values: tuple([back(v) for v in values])


def _row(columns: list[tuple[Way, Way]]) -> tuple[Way, Way]:
    def encode(values: Any) -> Json:
        return [to(v) for (to, _), v in zip(columns, values, strict=True)]

    def decode(values: Json) -> Any:
        return tuple([back(v) for (_, back), v in zip(columns, values, strict=True)])

    return encode, decode


def _mapping(to: Way, back: Way) -> tuple[Way, Way]:
    key, _ = ways(str)

    def encode(values: Any) -> Json:
        return {key(k): to(v) for k, v in values.items()}

    return encode, lambda values: {k: back(v) for k, v in values.items()}


def _enum(kind: type[Enum]) -> tuple[Way, Way]:
    def encode(value: Any) -> Json:
        if not isinstance(value, kind):
            raise _MismatchError(f"{value!r:.60} is no {kind.__name__}")
        return value.value

    members = {member.value: member for member in kind}

    def decode(value: Json) -> Any:
        if value not in members:
            raise _MismatchError(f"{value!r:.60} is no {kind.__name__}")
        return members[value]

    return encode, decode


def _record(kind: type) -> tuple[Way, Way]:
    hints = get_type_hints(kind)
    names = [f.name for f in fields(kind)]
    needed = {f.name for f in fields(kind) if f.default is MISSING and f.default_factory is MISSING}
    to = [ways(hints[name])[0] for name in names]
    back = {name: ways(hints[name])[1] for name in names}
    values_of: Way = attrgetter(*names) if len(names) > 1 else lambda v: [getattr(v, names[0])]

    def encode(value: Any) -> Json:
        if type(value) is not kind:
            raise _MismatchError(f"{value!r:.60} is no {kind.__name__}")
        return {n: way(v) for n, way, v in zip(names, to, values_of(value), strict=True)}

    def decode(stored: Json) -> Any:
        if not isinstance(stored, dict) or not needed <= stored.keys():
            missing = sorted(needed - set(stored if isinstance(stored, dict) else ()))
            raise _MismatchError(f"{kind.__name__} lacks {', '.join(missing)}")
        if not stored.keys() <= back.keys():
            raise _MismatchError(f"{kind.__name__} has no {', '.join(stored.keys() - back.keys())}")
        return kind(**{name: back[name](value) for name, value in stored.items()})

    return (encode, decode) if names else (lambda _: {}, lambda _: kind())


def _union(members: tuple[Any, ...]) -> tuple[Way, Way]:
    """Return both ways for a union: what JSON cannot tell apart carries its type."""
    real = [m for m in members if m is not NoneType]
    if len(real) == 1 and len(members) == 2:
        to, back = ways(real[0])
        return (
            lambda v: None if v is None else to(v),
            lambda v: None if v is None else back(v),
        )
    tagged = {m: m.__name__ for m in members if is_dataclass(m) or issubclass(m, Enum)}
    _refuse_names(tagged, {"type"})
    bare = [m for m in members if m not in tagged]

    def encode(value: Any) -> Json:
        kind = type(value)
        if kind in tagged:
            stored = ways(kind)[0](value)
            return {"type": tagged[kind], **(stored if is_dataclass(kind) else {"value": stored})}
        return _bare(bare, value)

    by_name = {name: m for m, name in tagged.items()}

    def decode(stored: Json) -> Any:
        if not isinstance(stored, dict):
            return _bare(bare, stored)
        inner = dict(stored)
        kind = by_name.get(inner.pop("type", None))
        if kind is None:
            raise _MismatchError(f"unknown type {stored.get('type')!r}")
        return ways(kind)[1](inner if is_dataclass(kind) else inner["value"])

    return encode, decode


def _refuse_names(kinds: Iterable[Any], taken: set[str]) -> None:
    """Raise when a record has a field whose name the stored form needs for itself."""
    for kind in kinds:
        clash = taken & {f.name for f in fields(kind)} if is_dataclass(kind) else None
        if clash:
            raise TypeError(f"{kind.__name__} may have no field {clash}: the codec needs the name")


def _bare(kinds: list[Any], value: Any) -> Any:
    """Return a scalar that some of these take, as the first that takes it exactly."""
    exact = [k for k in kinds if type(value) is k]
    for kind in exact or kinds:
        try:
            return ways(kind)[0](value)
        except _MismatchError:
            continue
    raise _MismatchError(f"{value!r:.60} is none of {', '.join(k.__name__ for k in kinds)}")


# ------------------------------------------------------------------ documents


class Codec:
    """The documents that may be stored, and the upcasters for their older versions.

    A type's version is one more than the number of its upcasters, so neither can be forgotten.
    """

    def __init__(
        self, kinds: tuple[type, ...], upcasters: Mapping[tuple[str, int], Upcaster]
    ) -> None:
        _refuse_names(kinds, {"type", "v"})
        self._kinds = {kind.__name__: kind for kind in kinds}
        self._upcasters = upcasters
        self._versions = {
            name: 1 + sum(1 for known, _ in upcasters if known == name) for name in self._kinds
        }

    def version(self, name: str) -> int:
        """Return the version that is written for this type."""
        return self._versions[name]

    def encode(self, value: Any) -> dict[str, Json]:
        """Return the document as JSON values."""
        name = type(value).__name__
        if self._kinds.get(name) is not type(value):
            raise UnreadableError(name, "it is no document")
        try:
            stored: dict[str, Json] = ways(type(value))[0](value)
        except (_MismatchError, AttributeError, TypeError, ValueError) as wrong:
            raise UnreadableError(name, str(wrong)) from wrong
        stored["type"], stored["v"] = name, self._versions[name]
        return stored

    def decode(self, document: Json) -> Any:
        """Return the value of a document, however old its version."""
        if not isinstance(document, dict) or "type" not in document:
            raise UnreadableError("entry", "it has no type")
        body = dict(document)
        name, version = body.pop("type"), body.pop("v", None)
        if name not in self._kinds:
            raise UnreadableError(str(name), "its type is unknown here")
        if not isinstance(version, int) or not 1 <= version <= self.version(name):
            raise UnreadableError(name, f"version {version} is unknown here")
        for old in range(version, self.version(name)):
            body = self._upcasters[name, old](body)
        try:
            return ways(self._kinds[name])[1](body)
        except (_MismatchError, AttributeError, KeyError, TypeError, ValueError) as wrong:
            raise UnreadableError(name, str(wrong)) from wrong


def _named_mentions(old: dict[str, Json]) -> dict[str, Json]:
    """Return a message whose mentions were bare account names with nothing to call them by."""
    named = [{"who": who, "name": who} for who in old.get("mention", ())]
    return {**old, "mention": named}


UPCASTERS: Mapping[tuple[str, int], Upcaster] = {("Outgoing", 1): _named_mentions}
"""(type, old version) → the fields of the next version, made from those of the old one."""

FACTS: tuple[type, ...] = get_args(Fact)

CODEC = Codec((*FACTS, Incoming, Outgoing), UPCASTERS)


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


def fact_text(fact: Fact) -> str:
    """Return a fact as stored.

    Examples
    --------
    >>> from core.facts import CallAnswered
    >>> fact_text(CallAnswered("lamb/A/pull"))
    '{"key":"lamb/A/pull","type":"CallAnswered","v":1}'
    """
    return json_text(CODEC.encode(fact))


def fact_from(text: str) -> Fact:
    """Return the fact that was stored as this text."""
    return fact_of(json_values(text))


def fact_of(document: Json) -> Fact:
    """Return the fact that was stored as these JSON values."""
    value: Fact = _of(FACTS, CODEC.decode(document))
    return value


def message_text(message: Outgoing) -> str:
    """Return a message as the outbox keeps it."""
    return json_text(CODEC.encode(message))


def message_from(text: str) -> Outgoing:
    """Return the message the outbox kept."""
    message: Outgoing = _of((Outgoing,), CODEC.decode(json_values(text)))
    return message


def heard_text(message: Incoming) -> str:
    """Return what was heard, as the inbox keeps it."""
    return json_text(CODEC.encode(message))


def heard_from(text: str) -> Incoming:
    """Return what was heard, from the inbox's text."""
    message: Incoming = _of((Incoming,), CODEC.decode(json_values(text)))
    return message


def _of(kinds: tuple[type, ...], value: Any) -> Any:
    if type(value) not in kinds:
        raise UnreadableError(type(value).__name__, "it is in the wrong place")
    return value
