"""The tables of the heat engine as rows, read once: `heat_rows("composition", "food")`."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from core.model import Source
from core.tables import Row, table

NAMES = ("composition", "shapes", "priors", "rules")
"""The heat files, without 'heat_' and '.toml'."""


def heat_table(name: str) -> Mapping[str, Any]:
    """Return one heat file as it stands."""
    return table(f"heat_{name}")


@cache
def heat_rows(name: str, section: str) -> tuple[Row, ...]:
    """Return the rows of one section of one file."""
    return tuple(heat_table(name)[section]["rows"])


def heat_row(name: str, section: str, key: str) -> Row:
    """Return the row with this key; KeyError is a bug, the keys are ours."""
    for found in heat_rows(name, section):
        if found["key"] == key:
            return found
    raise KeyError(f"{name}/{section}/{key}")


def heat_source(name: str, found: Row, clause: str = "") -> Source:
    """Return what an answer cites for a row.

    Examples
    --------
    >>> heat_source("composition", heat_row("composition", "food", "lamb")).status
    'M'
    """
    return Source(
        found["source"], heat_table(name)["sources"][found["source"]], clause, found["status"]
    )
