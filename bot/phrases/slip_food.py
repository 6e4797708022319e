"""Food lost or late: a tray dropped, a tub missed, a delivery warm or short, still frozen."""

from __future__ import annotations

import re
from datetime import timedelta

from bot.phrases.heard import Heard, Unclear, Wished
from bot.phrases.said import Said
from bot.phrases.slip_fires import is_told, plain
from bot.phrases.subjects import Named, named, step_of
from core.facts.slips import DropPieces, FoundFrozen, GoodsOff, LotMissed
from core.model import say
from core.words import Num, Quantity, Time, Word, core_temperature_c, nearest_instant
from core.words.food_words import FOODS

_DROPPED = re.compile(
    r"\b(dropped|drop|fell|on the floor|on the ground|se (me |nos |le )?(ha |han )?(cayo|cayeron|"
    r"caido)|al suelo|por el suelo)\b"
)
_TRAY = re.compile(r"\b(tray|trays|pan|rack|board|bandeja|bandejas|gastro|fuente|tabla)\b")
_NOT_FOOD = re.compile(r"\b(probe|sonda|thermometer|termometro|plates?|platos?|lid|phone|line)\b")
_MISSED = re.compile(
    r"\b(missed|forgot|forgotten|never (done|went in|brined)|not (brined|done|in)|skipped|"
    r"sin (salmuera|hacer|meter)|olvidad[oa]s?|olvidamos|falto|nos falto|se nos paso)\b"
)
_TUB = re.compile(r"\b(tubs?|buckets?|cubos?|cubetas?|barrenos?|lots?|lotes?|salmuera|brine)\b")
_GOODS = re.compile(r"\b(delivery|delivered|supplier|order|entrega|pedido|proveedor|reparto)\b")
_SHORT = re.compile(r"\b(short|missing|less|faltan?|menos|corto)\b")
_FROZEN = re.compile(r"\b(frozen|congelad[oa]s?)\b")
_STILL = re.compile(r"\b(still|half|medio|aun|todavia|sigue)\b")
_HOW = re.compile(r"\b(how|when|cuanto|cuando|como|thaw|defrost|descongelar|brine it)\b")
_KILOS = {"kg": 1.0, "lb": 0.45359237, "g": 0.001}
_WORDS_OF_COUNT = {"a": 1, "one": 1, "un": 1, "una": 1, "two": 2, "dos": 2}


def read_dropped(line: Said) -> Heard | None:
    """Return 'dropped tray 24 thighs', 'se cayó una bandeja, 24 muslos'."""
    text = plain(line)
    if not is_told(line) or not _DROPPED.search(text) or _NOT_FOOD.search(text):
        return None
    things = named(line)
    food = _food(line, things)
    if not (_TRAY.search(text) or food):
        return None
    spent = frozenset[int]().union(*(t.used for t in things if t.name == food)) if food else ()
    counts = [
        int(w.value) for i, w in enumerate(line.words)
        if isinstance(w, Num) and w.value.is_integer() and w.value > 0 and i not in spent
    ]  # fmt: skip
    if len(counts) != 1:
        return Unclear(say("How many pieces?"))
    return Wished((DropPieces(counts[0], food),), line.at)


def _food(line: Said, things: tuple[Named, ...]) -> str:
    """Return the load or dish that fell; '' where only a food word, or nothing, was said."""
    loads = [t.name for t in things if t.sort in {"load", "unit"}]
    dishes = list(dict.fromkeys(t.name for t in things if t.sort == "dish"))
    if loads and not _is_count(line, loads[0]):
        return loads[0]
    return dishes[0] if len(dishes) == 1 else ""


def _is_count(line: Said, name: str) -> bool:
    """Tell whether a load's name is really the number of pieces: 'tray 24 thighs'."""
    return name.isdigit() and name not in line.ear.loads


def read_missed(line: Said) -> Heard | None:
    """Return 'missed a tub', '1 tub not brined', 'un cubo sin salmuera'."""
    text = plain(line)
    if line.is_question or not (_MISSED.search(text) and _TUB.search(text)):
        return None
    steps = [t.name for t in named(line) if t.sort == "step"]
    step = steps[0] if steps else _in_tubs(line)
    if not step:
        return None
    counts = [int(w.value) for w in line.words if isinstance(w, Num) and w.value.is_integer()]
    words = [n for word, n in _WORDS_OF_COUNT.items() if word in text.split()]
    lots = counts[0] if counts and 0 < counts[0] <= 20 else (words[0] if words else 1)
    return Wished((LotMissed(step, lots),), line.at)


def _in_tubs(line: Said) -> str:
    """Return the step that is done in tubs: the brine, where there is one."""
    steps = [step_of(key) for key in line.ear.tasks]
    return next((s for s in steps if s in {"brine", "marinate", "cure"}), "")


def read_goods(line: Said) -> Heard | None:
    """Return 'delivery chicken 8c', 'delivery 90 kg short', 'pedido pollo a 8 grados'."""
    text = plain(line)
    if not is_told(line) or not _GOODS.search(text):
        return None
    kilos = [w.value * _KILOS[w.unit] for w in line.tokens
             if isinstance(w, Quantity) and w.unit in _KILOS]  # fmt: skip
    degrees = [w for w in line.tokens if isinstance(w, Quantity) and w.unit in {"°C", "°F", "°"}]
    food = _goods_named(line)
    if not food:
        return None
    core = None
    if degrees:
        unit = degrees[0].unit if degrees[0].unit != "°" else None
        read = core_temperature_c(degrees[0].value, unit)
        core = read.celsius if read else None
    short = kilos[0] if kilos and (_SHORT.search(text) or core is None) else None
    if core is None and short is None:
        return None
    return Wished((GoodsOff(food, short, core if core is not None else None),), line.at)


def _goods_named(line: Said) -> str:
    """Return the food that came: its dish where one is named, else its word."""
    dishes = [t.name for t in named(line) if t.sort == "dish"]
    if dishes:
        return dishes[0]
    foods = [w.text.casefold() for w in line.tokens
             if isinstance(w, Word) and w.canonical in FOODS]  # fmt: skip
    return foods[0] if foods else ""


def read_frozen(line: Said) -> Heard | None:
    """Return 'meat still half frozen smoke at 11', 'la carne sigue congelada'."""
    text = plain(line)
    reported = _FROZEN.search(text) and _STILL.search(text) and not _HOW.search(text)
    if "?" in line.text or not reported or not line.ear.loads:
        return None
    at = None
    if line.times:
        at = nearest_instant(line.times[-1], line.ear.now + timedelta(hours=2), line.ear.zone)
    elif (hour := _hour(line)) is not None:
        at = nearest_instant(hour, line.ear.now + timedelta(hours=2), line.ear.zone)
    food = next((t.name for t in named(line) if t.sort in {"dish", "load"}), "")
    return Wished((FoundFrozen(food, at),), None)


def _hour(line: Said) -> Time | None:
    """Return a bare hour after 'at': 'smoke at 11'."""
    numbers = [w for w in line.tokens if isinstance(w, Num) and w.clock is not None]
    return numbers[-1].clock if numbers else None
