"""What was laid on the food and which lid was opened: 'wrapped B 14:10', 'tapa abierta P1'."""

from __future__ import annotations

import re

from bot.phrases.about import left_over, which
from bot.phrases.heard import Heard, Wished
from bot.phrases.manners import POLITE
from bot.phrases.said import Said
from bot.phrases.subjects import Named, named
from core.facts import KeepMeasured, Measure, ReportLid, ReportSurface, Surface
from core.words import Num, Quantity, Token, Word, core_temperature_c
from core.words.atoms import folded

_SURFACES = {
    "wrapped": Surface.WRAPPED, "foiled": Surface.WRAPPED, "envuelto": Surface.WRAPPED,
    "envuelta": Surface.WRAPPED, "envueltos": Surface.WRAPPED, "envueltas": Surface.WRAPPED,
    "unwrapped": Surface.BARE, "uncovered": Surface.BARE, "desenvuelto": Surface.BARE,
    "desenvuelta": Surface.BARE, "destapado": Surface.BARE, "destapada": Surface.BARE,
    "covered": Surface.COVERED, "tented": Surface.COVERED, "cubierto": Surface.COVERED,
    "cubierta": Surface.COVERED, "tapado": Surface.COVERED, "tapada": Surface.COVERED,
}  # fmt: skip
_TO_WRAP = frozenset({"wrap", "envuelve", "envolver"})
_LID = frozenset({"lid", "tapa"})
_OPENED = frozenset({"opened", "open", "abierta", "abri", "abierto", "levantada"})
_WITH = frozenset(
    {"foil", "paper", "butcher", "tight", "tightly", "loose", "loosely", "aluminio", "papel",
     "alu", "again", "otra", "vez"}
)  # fmt: skip

_KEEP = re.compile(
    r"^\s*(?:keep|guarda|apunta)\s+(\w+)\s+(\S.{0,50}?)\s+(\d+(?:[.,]\d+)?)\s*(%|min|g|kg|)(?:\s+(\w+))?\s*$",
    re.IGNORECASE,
)
_MEASURES = {
    "yield": Measure.YIELD, "rendimiento": Measure.YIELD, "trim": Measure.TRIM,
    "limpio": Measure.TRIM, "minutes": Measure.MINUTES, "minutos": Measure.MINUTES,
    "portion": Measure.PORTION, "racion": Measure.PORTION,
}  # fmt: skip


def _texts(line: Said) -> dict[int, str]:
    return {i: folded(w.text) for i, w in enumerate(line.words) if isinstance(w, Word)}


def read_surface(line: Said) -> Heard | None:
    """Return that a load was wrapped or covered, or at which core it will be; None for neither."""
    if line.is_question or line.is_denied:
        return None
    spoken = _texts(line)
    done = [i for i, text in spoken.items() if text in _SURFACES]
    planned = [i for i, text in spoken.items() if text in _TO_WRAP]
    numbers = [i for i, w in enumerate(line.words) if _is_degrees(w)]
    if len(done) + len(planned) != 1 or len(numbers) != len(planned):
        return None
    things = named(line, frozenset({*done, *planned, *numbers}))
    used = _spent(line, things, {*done, *planned, *numbers})
    if left_over(line, used) or any(t.sort == "station" for t in things):
        return None
    asked = which(line, things)
    if asked is not None:
        return asked
    if planned:
        core = _core_c(line.words[numbers[0]])
        made = ReportSurface(_first(things), Surface.WRAPPED, core)
        return None if core is None else Wished((made,), line.at)
    if line.is_doubtful:
        return None
    return Wished((ReportSurface(_first(things), _SURFACES[spoken[done[0]]]),), line.at)


def read_lid(line: Said) -> Heard | None:
    """Return that a lid was opened; None for anything else said of a lid."""
    if line.is_question or line.is_doubtful:
        return None
    spoken = _texts(line)
    lids = [i for i, text in spoken.items() if text in _LID]
    opened = [i for i, text in spoken.items() if text in _OPENED]
    if len(lids) != 1 or len(opened) != 1:
        return None
    things = named(line, frozenset({*lids, *opened}))
    used = _spent(line, things, {*lids, *opened})
    asked = which(line, things)
    if asked is not None or left_over(line, used):
        return asked
    return Wished((ReportLid(_first(things)),), line.at)


def _spent(line: Said, things: tuple[Named, ...], verbs: set[int]) -> frozenset[int]:
    with_what = {i for i, text in _texts(line).items() if text in _WITH}
    return frozenset(verbs | with_what).union(*(t.used for t in things))


def _first(things: tuple[Named, ...]) -> str:
    return things[0].name if things else ""


def _is_degrees(token: Token) -> bool:
    degrees = isinstance(token, Quantity) and token.unit in {"°C", "°F", "°"}
    return degrees or (isinstance(token, Num) and not token.alternatives)


def _core_c(token: Token) -> float | None:
    unit = token.unit if isinstance(token, Quantity) and token.unit != "°" else None
    value = token.value if isinstance(token, Num | Quantity) else 0.0
    degrees = core_temperature_c(value, unit)
    return round(degrees.celsius, 1) if degrees is not None else None


def read_keep(line: Said) -> Heard | None:
    """Return 'keep yield pork collar 77 %': what the house measured and keeps."""
    found = _KEEP.match(line.text)
    measure = _MEASURES.get(folded(found[1])) if found else None
    if found is None or measure is None or (found[5] and folded(found[5]) not in POLITE):
        return None
    value, unit = float(found[3].replace(",", ".")), found[4].lower()
    scale = {"%": 0.01, "g": 0.001}.get(unit, 1.0)
    wanted = {Measure.MINUTES: {"min", ""}, Measure.PORTION: {"g", "kg"}}.get(measure, {"%"})
    return Wished((KeepMeasured(measure, found[2], value * scale),)) if unit in wanted else None
