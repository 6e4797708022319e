"""What a draft still lacks, and the one question that comes next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from core.facts import CardKind
from core.trial.dish_fields import DISH_FIELDS, NAME, wanted
from core.trial.event_fields import EVENT_FIELDS
from core.trial.fields import Field, Kind
from core.trial.series import series_of


def fields_of(kind: CardKind) -> tuple[Field, ...]:
    """Return the fields of a kind of card, in the order asked."""
    match kind:
        case CardKind.DISH:
            return (NAME, *DISH_FIELDS)
        case CardKind.EVENT:
            return (NAME, *EVENT_FIELDS)


def missing(kind: CardKind, values: Mapping[str, str]) -> tuple[Field, ...]:
    """Return the fields that are still to be asked, in order.

    Examples
    --------
    >>> [f.name for f in missing(CardKind.DISH, {"name": "Lamb", "pieces": "4"})][:3]
    ['bought', 'trimmed', 'class']
    """
    return tuple(f for f in fields_of(kind) if wanted(f, values) and not _known(f, values))


def _known(each: Field, values: Mapping[str, str]) -> bool:
    value = values.get(each.name, "")
    return series_of(value)[1] if each.kind is Kind.SERIES and value else bool(value)


def next_field(kind: CardKind, values: Mapping[str, str]) -> Field | None:
    """Return what is asked next; None when the card can be shown."""
    return next(iter(missing(kind, values)), None)


def field_named(kind: CardKind, name: str) -> Field | None:
    """Return a field by its name."""
    return next((f for f in fields_of(kind) if f.name == name), None)


def lacking(fields: Sequence[Field], values: Mapping[str, str]) -> tuple[Field, ...]:
    """Return the fields the cook did not know: the card says so."""
    return tuple(f for f in fields if values.get(f.name) == "unknown")
