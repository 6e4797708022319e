"""Marks a test whose expected numbers come from outside the project."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T", bound=Callable[..., object])


def published(source: str) -> Callable[[T], T]:
    """Name the publication a test's numbers were printed in."""
    if not source.strip():
        raise ValueError("a published test names its source")

    def mark(test: T) -> T:
        test.__doc__ = f"{test.__doc__ or ''}\n\nPublished: {source}".strip()
        return test

    return mark
