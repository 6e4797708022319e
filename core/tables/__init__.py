"""Published numbers as TOML: `table("food_safety_cooking")`; read once, only here.

Every file names its sources, every row how sure it is: its own `status`, or that of the table it
stands in. C was read in the document, C2 in a secondary text, M is from memory: an M row may
warn or fail, never clear.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import Any

Row = Mapping[str, Any]
"""One row of a table, as it stands in the file."""


@cache
def table(name: str) -> Mapping[str, Any]:
    """Return a packaged table file by its name without '.toml'.

    Examples
    --------
    >>> table("food_safety_poultry")["poultry"]["temps_f"][0]
    136
    """
    text = files("core.tables").joinpath(f"{name}.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)


@cache
def table_names() -> tuple[str, ...]:
    """Return the names of all packaged tables, sorted."""
    found = (entry.name for entry in files("core.tables").iterdir())
    return tuple(sorted(name.removesuffix(".toml") for name in found if name.endswith(".toml")))


@cache
def tables_version() -> str:
    """Return a hash of everything the tables say; it is logged with each verdict."""
    digest = sha256()
    for name in table_names():
        digest.update(name.encode() + b"\0")
        digest.update(files("core.tables").joinpath(f"{name}.toml").read_bytes() + b"\0")
    return digest.hexdigest()[:16]


def rows_of(name: str) -> Iterator[tuple[str, Row, str, str]]:
    """Yield every row of a file with its place, the source and the status that hold for it.

    A row is a table inside an array; what it lacks itself it takes from the tables around it.
    """
    yield from _rows(table(name), name, "", "")


def _rows(part: Row, place: str, source: str, status: str) -> Iterator[tuple[str, Row, str, str]]:
    source = str(part.get("source", part.get("sources", source) or source))
    status = str(part.get("status", status))
    for key, value in part.items():
        if isinstance(value, dict) and key != "sources":
            yield from _rows(value, f"{place}.{key}", source, status)
        if isinstance(value, list):
            rows = [row for row in value if isinstance(row, dict)]
            for number, row in enumerate(rows):
                where = f"{place}.{key}[{number}]"
                yield where, row, str(row.get("source", source)), str(row.get("status", status))
                yield from _rows(row, where, source, status)
