"""Conversion at the border: words with units in, kg, L, cm, min, °C, kW out.

Only words a kitchen uses are understood, and each stands for one thing: `C` is a temperature,
never a charge; `gal` is the US gallon unless `imperial` stands before it. What could be read two
ways is refused. Nothing further in converts anything.

| File | What it holds |
|---|---|
| `words.py` | the words, by what they measure |
| `convert.py` | one number with one unit, taken apart and converted |
| `quantities.py` | a function for each kind of quantity |
"""

from __future__ import annotations

from core.units.quantities import (
    amount,
    celsius,
    fraction,
    kelvins,
    length_cm,
    mass_kg,
    minutes,
    per_minute,
    power_kw,
    rectangle_cm,
    speed_kmh,
    volume_l,
)

__all__ = [
    "amount",
    "celsius",
    "fraction",
    "kelvins",
    "length_cm",
    "mass_kg",
    "minutes",
    "per_minute",
    "power_kw",
    "rectangle_cm",
    "speed_kmh",
    "volume_l",
]
