"""Service: plates counted, what is left, a hold, what stands out, a line of guests.

A bare number is never a count: 'out', a lane, a tray or a sign must stand beside it.
"""

from __future__ import annotations

import re

from bot.phrases.about import which
from bot.phrases.heard import Ear, Heard, Wished
from bot.phrases.manners import POLITE
from bot.phrases.said import Said
from bot.phrases.subjects import Named, named, squeezed
from core.facts import (
    Came,
    CountLeft,
    CountPlates,
    GiveNumber,
    HoldService,
    Report,
    ReportStep,
    RestartService,
    SeeQueue,
    SetOut,
    SetPortion,
)
from core.words import Num, Quantity, Word
from core.words.atoms import folded

_N = r"(\d{1,5})"
_PLATES = r"(?:plates?|portions?|platos?|raciones?|cubiertos?)"
_LANE = r"(?:lane|line|side|linea|pase|lado)"
_LANE_ID = r"(\d{1,2} ?[a-d]?|[a-d])"

_OUT = re.compile(
    rf"(\+|otr[oa]s? |another )?{_N} ?({_PLATES})?(?: (more|mas))?(?: ({_PLATES}))? "
    r"(?:out|served|gone|fuera|servid[oa]s?|salid[oa]s?)"
    r"(?: so far| in all| en total| hasta ahora)?"
)
_SO_FAR = re.compile(rf"(?:van|llevamos|hemos sacado|we are at|count) {_N}(?: {_PLATES})?")
_BY_LANE = re.compile(rf"{_LANE}[ -]?{_LANE_ID}:? (\+)?{_N}(?: {_PLATES})?(?: out| fuera)?")
_TRAYS = re.compile(
    rf"(?:marca |mark )?\+?{_N} (?:trays?|bandejas?|gastros?|gn)(?: (?:of|de) {_N})?"
    rf"(?: (?:to|on|in|a|para|en)(?: la)? {_LANE}[ -]?{_LANE_ID})?"
)
_SERVED = re.compile(rf"(\+)?{_N}(?: {_PLATES})?")
_LEAST_BARE = 10
"""'2 out' is load 2 off its fire; plates are counted by the dozen."""


def plain(text: str) -> str:
    """Return a line folded, without manners and marks, its words one space apart.

    Examples
    --------
    >>> plain("210 OUT, mate!!")
    '210 out'
    """
    spaced = re.sub(r"[,;!?¡¿]+(?=\s|$)|[¡¿]", " ", folded(text))
    return " ".join(word for word in spaced.split() if word not in POLITE)


def read_count(line: Said) -> Heard | None:
    """Return '210 out', 'van 210', 'lane 1 80', '+24 out', '6 trays of 10 to lane 2'."""
    if line.is_question or line.is_denied or line.times:
        return None
    text, ear = plain(line.text), line.ear
    found = _of_all(text, ear) or _of_lane(text, ear) or _of_trays(text, ear)
    if found is None and line.slash == "serve":
        served = _SERVED.fullmatch(text)
        found = CountPlates(int(served[2]), more=bool(served[1])) if served else None
    return Wished((found,), line.at) if found is not None else None


def _of_all(text: str, ear: Ear) -> CountPlates | None:
    out = _OUT.fullmatch(text)
    if out is not None:
        number = int(out[2])
        sure = out[1] or out[3] or out[4] or out[5] or number >= _LEAST_BARE
        is_load = not (out[3] or out[5]) and out[2] in {*ear.loads, *ear.units}
        return CountPlates(number, more=bool(out[1] or out[4])) if sure and not is_load else None
    so_far = _SO_FAR.fullmatch(text)
    return CountPlates(int(so_far[1])) if so_far else None


def _of_lane(text: str, ear: Ear) -> CountPlates | None:
    found = _BY_LANE.fullmatch(text)
    if found is None:
        return None
    return CountPlates(int(found[3]), lane_named(found[1], ear), more=bool(found[2]))


def _of_trays(text: str, ear: Ear) -> CountPlates | None:
    found = _TRAYS.fullmatch(text)
    if found is None or (found[3] is None and found[2] is None):
        return None
    each = int(found[2]) if found[2] else None
    lane = lane_named(found[3], ear) if found[3] else ""
    return CountPlates(0, lane, more=True, trays=int(found[1]), each=each)


def lane_named(said: str, ear: Ear) -> str:
    """Return the lane of the kit that is meant, the only one there is, or what was said."""
    lanes = [s for s in ear.stations if ear.kinds.get(s) == "lane"]
    wanted = squeezed(said)
    exact = [s for s in lanes if squeezed(s) in {wanted, f"lane{wanted}"}]
    if exact:
        return exact[0]
    return lanes[0] if len(lanes) == 1 else f"lane {said.replace(' ', '')}"


# ------------------------------------------------------------------ what is left

_UNITS = {
    "slices": "slices",
    "pieces": "pcs",
    "plates": "plates",
    "portions": "plates",
    "steaks": "pcs",
}
_AS_LEFT = frozenset({"left", "of", "from", "plates", "slices", "pieces", "portions", "steaks"})


def read_left(line: Said) -> Heard | None:
    """Return '48 plates left', '17 slices left from B.2', '5.1 kg salad left', 'quedan 48'."""
    if not line.has("left") or line.has("left_out") or line.is_question or line.is_denied:
        return None
    things = named(line)
    spent = frozenset[int]().union(*(t.used for t in things))
    rest = [w for i, w in enumerate(line.words) if i not in spent]
    numbers = [w for w in rest if isinstance(w, Num | Quantity)]
    words = [w for w in rest if isinstance(w, Word)]
    if len(numbers) != 1 or any(w.canonical not in _AS_LEFT for w in words):
        return None
    number, dish = numbers[0], _one(things, "dish")
    of = _one(things, "unit") or _one(things, "load")
    if isinstance(number, Quantity):
        if number.unit not in {"kg", "g", "L", "l", "lb"} or dish is None:
            return None
        scale = {"g": 0.001, "lb": 0.45359237}.get(number.unit, 1.0)
        unit = "L" if number.unit in {"L", "l"} else "kg"
        return Wished((CountLeft(round(number.value * scale, 3), unit, dish.name),), line.at)
    if number.alternatives:
        return None
    unit = next((_UNITS[w.canonical] for w in words if w.canonical in _UNITS), "plates")
    name, part = dish.name if dish else "", of.name if of else ""
    return Wished((CountLeft(number.value, unit, name, part),), line.at)


def _one(things: tuple[Named, ...], sort: str) -> Named | None:
    found = [t for t in things if t.sort == sort]
    return found[0] if len(found) == 1 else None


# ------------------------------------------------------------------ hold and restart

_WHY = {
    "lightning": "lightning", "lightnings": "lightning", "thunder": "lightning",
    "rayo": "lightning", "rayos": "lightning", "relampago": "lightning",
    "relampagos": "lightning", "tormenta": "lightning", "speech": "speech", "speeches": "speech",
    "discurso": "speech", "discursos": "speech", "rain": "rain", "lluvia": "rain",
    "wind": "wind", "viento": "wind",
}  # fmt: skip
_STOPS = r"(?:stop|hold|pause|halt|para|parad|paramos|alto|aguanta|aguantad)"
_HOLD = re.compile(
    rf"{_STOPS}(?: (?:the|el))? (?:service|serving|servicio|plates|platos|pase|everything|todo)"
    r"(?:(?: for| por)? ([a-z]+))?"
)
_WEATHER = r"(?:lightnings?|thunder|rayos?|relampagos?|tormenta)"
_STRIKE = re.compile(rf"({_WEATHER})(?: {_STOPS}(?: all| todo)?)?|{_STOPS} ({_WEATHER})")
_GO_ON = re.compile(
    r"(?:restart|resume|go on|carry on|go again|serve again|reanud\w+|seguimos|seguid|continuamos|"
    r"marcha otra vez|otra vez marcha)(?: (?:the |el )?(?:service|serving|servicio|plates|platos))?"
)


def read_hold(line: Said) -> Heard | None:
    """Return 'hold service', 'stop serving', 'lightning', 'para el servicio, discurso'."""
    if "?" in line.text or any(c.isdigit() for c in line.text):
        return None
    text = plain(line.text)
    strike, held = _STRIKE.fullmatch(text), _HOLD.fullmatch(text)
    if strike is not None:
        return Wished((HoldService("lightning"),), line.at)
    if held is None or (held[1] and held[1] not in _WHY):
        return None
    return Wished((HoldService(_WHY[held[1]] if held[1] else ""),), line.at)


_LAST = re.compile(
    r"(?:last (?:firsts|plates?)(?: out)?|service (?:is )?over|all (?:served|fed)|"
    r"ultimos (?:platos|primeros)|fin del servicio|todos servidos)"
)


def read_last(line: Said) -> Heard | None:
    """Return 'last firsts', 'últimos platos': the first pass is served."""
    if "?" in line.text or not _LAST.fullmatch(plain(line.text)):
        return None
    return Wished((ReportStep("", "serve", Report.DONE),), line.at)


def read_restart(line: Said) -> Heard | None:
    """Return 'restart service', 'seguimos'."""
    if "?" in line.text or not _GO_ON.fullmatch(plain(line.text)):
        return None
    return Wished((RestartService(),), line.at)


# ------------------------------------------------------------------ opened, on the line, back

_BACK = re.compile(r"\b(?:back in|put back|de vuelta en?|otra vez en|vuelve a)\b")
_ONLINE = re.compile(r"\b(?:on|out on|en|a) (?:the |la )?(?:line|lane|linea|pase|counter|mesa)\b")
_OPENED = re.compile(r"\b(?:opened|abiert[oa]s?|abro|abrimos)\b")
_KEEPS = frozenset({"cold_box", "hot_box", "fridge", "tub"})


def read_set_out(line: Said) -> Heard | None:
    """Return 'salad on the line 18:55', 'opened box 4', 'ensalada en línea', 'box 4 back in'."""
    if line.is_question or line.is_denied or line.has("left"):
        return None
    text = plain(line.text)
    came = next(
        (c for c, words in ((Came.BACK, _BACK), (Came.LINE, _ONLINE), (Came.OPENED, _OPENED))
         if words.search(text)),
        None,
    )  # fmt: skip
    if came is None:
        return None
    things = [t for t in named(line) if t.sort == "dish" or t.kind in _KEEPS]
    dishes = [t for t in things if t.sort == "dish"]
    meant = dishes or things
    if len(dishes) > 1:
        return which(line, tuple(dishes))
    return Wished((SetOut(meant[0].name, came),), line.at) if len(meant) == 1 else None


# ------------------------------------------------------------------ the line of guests

_DEEP = re.compile(
    r"(?:the )?(?:(?:line|queue)(?: is| now)? (\d{1,4}) (?:deep|people|long)|"
    r"(?:queue|cola|fila)(?: de| is)? (\d{1,4})(?: personas| people| deep| pax)?|"
    r"(?:hay )?(\d{1,4}) (?:in line|en cola|en la cola))(?: (.*))?"
)
_RATE = re.compile(r"(\d{1,2}(?:[.,]\d)?) ?(?:/|per|a|al|por) ?min(?:ute|uto)?")
_AT_LANE = re.compile(rf"{_LANE}[ -]?{_LANE_ID}\b")


def read_queue(line: Said) -> Heard | None:
    """Return 'line 30 deep', 'cola de 30', 'lane 1b only 2/min'."""
    if "?" in line.text:
        return None
    text = plain(line.text)
    rate, deep = _RATE.search(text), _DEEP.fullmatch(text)
    per_min = float(rate[1].replace(",", ".")) if rate else None
    if deep is not None:
        if deep[4] and rate is None:
            return None
        people = int(deep[1] or deep[2] or deep[3])
        return Wished((SeeQueue(people, per_min),), line.at)
    lane = _AT_LANE.search(text)
    if lane is None or per_min is None:
        return None
    rest = text.replace(rate[0] if rate else "", "").replace(lane[0], "")
    if set(rest.split()) - {"only", "solo", "does", "doing", "at", "a", "now", "is", "va", "hace"}:
        return None
    return Wished((SeeQueue(None, per_min, lane_named(lane[1], line.ear)),), line.at)


# ------------------------------------------------------------------ portions and the review

_PORTION = re.compile(
    r"(?:portion|racion|serve|only)(?: now| ahora)? (\d{1,4}) ?"
    r"(slices?|rodajas?|lonchas?|g|grams?|gramos)(?: .*)?"
)
_REVIEW = re.compile(r"(?:review|repaso) (\d{1,6}(?:[.,]\d{1,3})?) ?(kg|%|plates|platos|raciones)?")
_NUMBER = re.compile(r"(\d{1,6}(?:[.,]\d{1,3})?) ?(kg|%|plates|platos|raciones)?")


def read_portion(line: Said) -> Heard | None:
    """Return 'portion 4 slices', 'ración 120 g': of the dish named, else of the main one."""
    found = _PORTION.fullmatch(plain(line.text))
    if found is None or line.is_question:
        return None
    dish = _one(named(line), "dish")
    unit = "g" if found[2].startswith("g") else "slices"
    return Wished((SetPortion(dish.name if dish else "", float(found[1]), unit),), line.at)


def read_number(line: Said) -> Heard | None:
    """Return the number a question of the review waits for; 'review 46 kg' at any time."""
    text = plain(line.text)
    found = _REVIEW.fullmatch(text)
    if found is None and line.ear.wants_number:
        found = _NUMBER.fullmatch(text)
    if found is None:
        return None
    unit = found[2] if found[2] in {"kg", "%"} else ""
    return Wished((GiveNumber(float(found[1].replace(",", ".")), unit),))
