"""A verdict as it goes into the log, with the tables it rests on; and those that were given."""

from __future__ import annotations

from datetime import datetime

from core.cook.decision import Dated
from core.cook.state import Cook
from core.facts import Entry, VerdictGiven
from core.model import Finding
from core.tables import tables_version


def given(at: datetime, found: Finding) -> Dated:
    """Return the fact that a verdict was said."""
    return Dated(at, VerdictGiven(found, tables_version()))


def verdicts(cook: Cook) -> tuple[Entry, ...]:
    """Return the entries of the verdicts said so far that still stand, oldest first."""
    return tuple(e for e in cook.entries if isinstance(e.fact, VerdictGiven))
