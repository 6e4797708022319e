"""Every wish: what `cook.decide` turns into facts or refuses."""

from __future__ import annotations

from core.facts.day import DayWish

Wish = DayWish
