"""From what was said to the rows of the quantity tables: 'pollo' is the thigh, and it is said."""

from __future__ import annotations

from collections.abc import Mapping

from core.ask.said import Said

GOODS: Mapping[str, str] = {
    "steak": "steak",
    "beef": "steak",
    "rump": "lamb rump",
    "lamb": "lamb rump",
    "pork_collar": "pork collar",
    "pulled_pork": "pulled pork",
    "shoulder": "pulled pork",
    "pork": "pork collar",
    "brisket": "brisket",
    "ribs": "ribs",
    "thigh": "chicken thigh",
    "chicken": "chicken thigh",
    "salmon": "fish",
    "tuna": "fish",
    "fish": "fish",
    "sausage": "sausage",
    "burger": "sausage",
    "mushroom": "vegetable main",
    "cheese": "vegetable main",
}
"""Concept to row; the more exact concept stands first and wins."""

SIDES: Mapping[str, str] = {
    "rice": "rice",
    "bean": "beans",
    "slaw": "slaw",
    "lettuce": "leaf salad",
    "bread": "bread",
    "sauce": "sauce",
}


def good_of(line: Said) -> str | None:
    """Return the row of the meat table that is meant; bone-in chicken and whole birds apart."""
    if line.has("bone_in") and line.has("head", "pork", "pork_collar", "shoulder"):
        return "pulled pork"  # 'cabeza con hueso' is a cut to pull, not a steak
    if line.has("chicken") and (line.has("bone_in") or line.says("leg", "legs", "quarters")):
        return "chicken leg"
    if line.says("whole pig", "hog", "cerdo entero", "cochinillo"):
        return "whole pig"
    return next((row for concept, row in GOODS.items() if line.has(concept)), None)


def brined_of(line: Said) -> str | None:
    """Return the row of the brining table that is meant."""
    if line.says("whole chicken", "whole bird", "pollo entero"):
        return "whole bird"
    if line.says("loin", "lomo") and not line.has("pork_collar"):
        return "pork loin"
    if line.has("crustaceans"):
        return "prawn"
    good = good_of(line)
    return "pork collar" if good == "pulled pork" and line.has("pork_collar") else good


def side_of(line: Said) -> str | None:
    """Return the row of the side table that is meant."""
    return next((row for concept, row in SIDES.items() if line.has(concept)), None)


def cures(line: Said) -> bool:
    """Tell whether curing salt is spoken of, by whatever name it is sold under."""
    return line.has("cure", "nitrite") or line.says(*_CURES)


_CURES = ("prague powder", "prague", "sal de curar", "sal de cura", "sal nitrificante", "sal nitro")
