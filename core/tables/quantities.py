"""The quantity tables as rows, read once: `rows("densities", "food")`.

Every row names its source and how sure it is; `source_of` turns that into what an answer cites.
"""

from __future__ import annotations

from functools import cache

from core.model import Source
from core.tables import Row, table

NAMES = (
    "cans",
    "cooking_yields",
    "cures",
    "densities",
    "fuel",
    "pans",
    "portions",
    "produce",
    "refuse",
    "rounding",
    "rules",
    "salometer",
)
"""The quantity files, without 'quantities_' and '.toml'."""


@cache
def rows(name: str, section: str) -> tuple[Row, ...]:
    """Return the rows of one section of one file."""
    return tuple(table(f"quantities_{name}")[section]["rows"])


def row(name: str, section: str, key: str) -> Row:
    """Return the row with this key; KeyError is a bug, the keys are ours."""
    for found in rows(name, section):
        if found["key"] == key:
            return found
    raise KeyError(f"{name}/{section}/{key}")


def source_of(name: str, found: Row, clause: str = "") -> Source:
    """Return what an answer cites for a row.

    Examples
    --------
    >>> source_of("rules", row("rules", "season", "rub")).status
    'rule of thumb'
    """
    titles = table(f"quantities_{name}")["sources"]
    ids = [part for part in found["source"].split("+") if part in titles]
    title = "; ".join(titles[part] for part in ids)
    return Source(found["source"], title, clause, found["status"])
