"""Facts and messages to versioned JSON text and back: the stored format.

One document is one object: `{"type": "StepReported", "v": 1, …fields…}`; `ways.py` says how each
field is written. A new field with a default needs nothing here; any other change of shape needs an
upcaster, which turns the fields of an old version into those of the next *when read*: stored bytes
are never rewritten.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, get_args

from bot.ports import Incoming, Outgoing
from bot.ways import (
    Json,
    MismatchError,
    UnreadableError,
    Way,
    instant,
    instant_text,
    json_text,
    json_values,
    record,
    refuse_names,
    ways,
)
from core.facts import Fact

__all__ = [
    "CODEC",
    "Codec",
    "UnreadableError",
    "instant",
    "instant_text",
    "json_text",
    "json_values",
    "ways",
]

Upcaster = Callable[[dict[str, Json]], dict[str, Json]]


class Codec:
    """The documents that may be stored, and the upcasters for their older versions.

    A type's version is one more than the number of its upcasters, so neither can be forgotten.
    """

    def __init__(
        self, kinds: tuple[type, ...], upcasters: Mapping[tuple[str, int], Upcaster]
    ) -> None:
        refuse_names(kinds, {"type", "v"})
        self._kinds = {kind.__name__: kind for kind in kinds}
        self._upcasters, self._writers = upcasters, dict[str, Way]()
        self._versions = {
            name: 1 + sum(1 for known, _ in upcasters if known == name) for name in self._kinds
        }

    def version(self, name: str) -> int:
        """Return the version that is written for this type."""
        return self._versions[name]

    def text(self, value: Any) -> str:
        """Return the document as text: one way to write it, so equal values are equal bytes."""
        name = type(value).__name__
        if self._kinds.get(name) is not type(value):
            raise UnreadableError(name, "it is no document")
        try:
            if name not in self._writers:
                also = {"type": name, "v": self._versions[name]}
                self._writers[name] = record(type(value), also)[0]
            text: str = self._writers[name](value)
            text.encode()  # half a character cannot be stored
        except (MismatchError, AttributeError, TypeError, ValueError) as wrong:
            raise UnreadableError(name, str(wrong)) from wrong
        return text

    def encode(self, value: Any) -> dict[str, Json]:
        """Return the document as JSON values."""
        document: dict[str, Json] = json_values(self.text(value))
        return document

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
        except (MismatchError, AttributeError, KeyError, TypeError, ValueError) as wrong:
            raise UnreadableError(name, str(wrong)) from wrong


def _named_mentions(old: dict[str, Json]) -> dict[str, Json]:
    """Return a message whose mentions were bare account names with nothing to call them by."""
    named = [{"who": who, "name": who} for who in old.get("mention", ())]
    return {**old, "mention": named}


UPCASTERS: Mapping[tuple[str, int], Upcaster] = {("Outgoing", 1): _named_mentions}
"""(type, old version) → the fields of the next version, made from those of the old one."""

FACTS: tuple[type, ...] = get_args(Fact)

CODEC = Codec((*FACTS, Incoming, Outgoing), UPCASTERS)


def fact_text(fact: Fact) -> str:
    """Return a fact as stored.

    Examples
    --------
    >>> from core.facts import CallAnswered
    >>> fact_text(CallAnswered("lamb/A/pull"))
    '{"key":"lamb/A/pull","type":"CallAnswered","v":1}'
    """
    return CODEC.text(fact)


def fact_from(text: str) -> Fact:
    """Return the fact that was stored as this text."""
    return fact_of(json_values(text))


def fact_of(document: Json) -> Fact:
    """Return the fact that was stored as these JSON values."""
    value: Fact = _of(FACTS, CODEC.decode(document))
    return value


def message_text(message: Outgoing) -> str:
    """Return a message as the outbox keeps it."""
    return CODEC.text(message)


def message_from(text: str) -> Outgoing:
    """Return the message the outbox kept."""
    message: Outgoing = _of((Outgoing,), CODEC.decode(json_values(text)))
    return message


def heard_text(message: Incoming) -> str:
    """Return what was heard, as the inbox keeps it."""
    return CODEC.text(message)


def heard_from(text: str) -> Incoming:
    """Return what was heard, from the inbox's text."""
    message: Incoming = _of((Incoming,), CODEC.decode(json_values(text)))
    return message


def _of(kinds: tuple[type, ...], value: Any) -> Any:
    if type(value) not in kinds:
        raise UnreadableError(type(value).__name__, "it is in the wrong place")
    return value
