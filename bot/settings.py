"""Environment to a frozen Settings; nothing else reads the environment."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

DEFAULT_DB = "sqlite:///pitcrier.db"


@dataclass(frozen=True, slots=True)
class Settings:
    """What an installation chooses."""

    db_url: str = DEFAULT_DB


def read_settings(environment: Mapping[str, str], db: str | None = None) -> Settings:
    """Return the settings; a flag outranks the environment, a bare path means SQLite.

    Examples
    --------
    >>> read_settings({}, "day.db").db_url
    'sqlite:///day.db'
    """
    named = db or environment.get("PITCRIER_DB") or DEFAULT_DB
    return Settings(named if "://" in named else f"sqlite:///{named}")
