"""Printed rows typed apart from the packaged tables."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

PRINTED: dict[str, Any] = tomllib.loads(
    Path(__file__).with_name("printed_rows.toml").read_text("utf-8")
)


def rows(name: str) -> list[list[float]]:
    """Return the rows of one printed table."""
    return [list(map(float, row)) for row in PRINTED[name]["rows"]]
