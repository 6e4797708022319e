"""Two whole events, cards and scripts: `pitcrier demo` plays the first; both are there to copy."""

from __future__ import annotations

from pathlib import Path

GOLDEN_WEDDING = Path(__file__).parent / "golden_wedding"
"""60 guests, five crew, one smoker; the reference: every key of a card is explained in it."""

HARVEST_SUPPER = Path(__file__).parent / "harvest_supper"
"""320 guests at lanes, two smokers, seventeen crew."""
