"""What goes wrong with fires, lanes, gas, power and water; and that it works again."""

from __future__ import annotations

import re

from bot.phrases.about import names
from bot.phrases.heard import Heard, Unclear, Wished
from bot.phrases.manners import POLITE
from bot.phrases.said import Said
from bot.phrases.subjects import Named, all_of, named
from core.facts.slips import AskCure, FireBack, FireDown, FireSlow, GasOut, Supply, SupplyOut
from core.model import say
from core.words import Quantity
from core.words.atoms import folded

_DOWN = re.compile(
    r"\b(dead|down|broke|broken|jammed|died|kaput|buggered|knackered|failed|fails|wont light|"
    r"(went|gone|is|has gone) out|fire out|se (me |nos |le )?(ha )?(apago|apagado|rompio|roto|"
    r"jodio|jodido|paro|parado)|apagad[oa]|rot[oa]|averiad[oa]|muert[oa]|atascad[oa]|caid[oa]|"
    r"no (funciona|va|enciende|tira|arranca))\b"
)
_BACK = re.compile(
    r"\b(back( up| on| in action)?|fixed|work(s|ing)( again)?|running again|"
    r"going again|clear(ed)?|relit|"
    r"arreglad[oa]|desatascad[oa]|recuperad[oa]|de vuelta|vuelve|otra vez en marcha|ya funciona|"
    r"ya va|funciona( otra vez)?)\b"
)
_SLOW = re.compile(
    r"\b(slow|sluggish|struggling|weak|not holding|wont (hold|come up|get hot)|lent[oa]|floj[oa]|"
    r"no (sube|coge temperatura|aguanta))\b"
)
_LOST = re.compile(r"\b(lost|lose|losing|closed|shut|perdid[oa]|perdemos|cerrad[oa])\b")
_LID = re.compile(r"\b(lids?|tapas?|cover|probe|sonda|batch|food|meat|carne)\b")
_AUGER = re.compile(r"\b(auger|sinfin|tornillo|hopper|tolva)\b")
_GAS = r"(propane|butane|gas|lpg|gas bottle|bottle|bombona|butano|propano|el gas|el butano)"
_GAS_OUT = re.compile(
    rf"^(the )?({_GAS} (is |has |just )*(out|gone|empty|run out|ran out|finished|acabad[oa]|"
    rf"vaci[oa]|agotad[oa])|(out of|no( mas| queda| hay)?|sin|ran out of|run out of|"
    rf"se (nos |me )?(ha )?(acabo|acabado|termino)( el| la)?|no queda|no hay) {_GAS})\b"
)
_LEAK = re.compile(r"\b(leak|smell|huele|fuga|escape|alarm|alarma)\b")
_POWER = r"(power|electricity|electrics|generator|genny|luz|corriente|electricidad|generador)"
_POWER_OUT = re.compile(
    rf"\b({_POWER} (is |has |just |cut|se )*(out|off|down|dead|gone|died|cut|fue|ido|parado|muerto|"
    rf"roto|apagado|caido)|no {_POWER}|power cut|blackout|apagon|corte de luz|"
    rf"(se (ha )?(fue|ido) la|sin|no hay|no tenemos) {_POWER})\b"
)
_POWER_BACK = re.compile(
    rf"\b({_POWER} (is |s )?(back|on again|restored|de vuelta|otra vez|vuelve)|"
    rf"(volvio|vuelve|ya hay|ha vuelto) (la |el )?{_POWER})\b"
)
_WATER_OUT = re.compile(
    r"^((the )?water (is |has |just )*(out|off|gone|cut|down)|no (more )?water|out of water|"
    r"sin agua|no hay agua|no queda agua|se (ha )?(fue|ido|acabo|acabado) el agua|corte de agua)\b"
)
_WATER_BACK = re.compile(
    r"\b(water (is |s )?(back|on again)|(volvio|vuelve|ya hay|ha vuelto) (el )?agua|"
    r"agua de vuelta)\b"
)
_SMOKED = re.compile(r"\b(smoke|humo)\b.*\b(guests?|people|everyone|invitados|gente|clientes)\b")
_EMBER = re.compile(r"\b(embers?|sparks?|ascuas?|chispas?|brasas?)\b")
_CLOTH = re.compile(r"\b(tarp|tent|gazebo|canvas|sides?|grass|lona|carpa|toldo|hierba)\b")
_SPLIT = re.compile(
    r"\b(sauce|gravy) (has |is |just )*(split|broke|broken|curdled)\b|\b(split|curdled) sauce\b|"
    r"^(la )?salsa( de \w+)? (esta |se (nos |me )?(ha )?)?(cortad[oa]|corto)$|"
    r"^se (nos |me )?(ha )?(corto|cortado) la salsa( de \w+)?$"
)  # nothing else may stand beside it in Spanish: 'se ha cortado' alone is somebody's hand
_MOOD = POLITE - {"ya", "pissing", "fin"}
_FIRES = frozenset({"smoker", "grill", "oven", "griddle", "ring"})
_PLACES = _FIRES | {"lane", "fridge", "hot_box", "cold_box"}


def plain(line: Said) -> str:
    """Return the line as it is compared: no case, no accents, no apostrophes."""
    text = folded(line.text).replace("'", "").replace("\u2019", "").replace("-", " ")
    words = re.sub(r"[^a-z0-9%.,:+/ ]+", " ", text).split()
    kept = [w for w in words if w not in _MOOD]
    return " ".join(kept).strip(" .,")


def is_told(line: Said) -> bool:
    """Tell whether something is reported and not asked or hoped."""
    return not line.is_question and "?" not in line.text and "yet" not in plain(line).split()


def read_fire(line: Said) -> Heard | None:
    """Return 'grill 1 dead', 'auger jammed', 'pit 2 back', 'lane 3 lost', 'P2 slow'."""
    text = plain(line)
    if not is_told(line) or (_LID.search(text) and not _AUGER.search(text)):
        return None
    down, slow = _DOWN.search(text), _SLOW.search(text)
    back = _BACK.search(text)
    lost = _LOST.search(text)
    if not (down or back or slow or lost):
        return None
    places = [t for t in named(line) if t.sort in {"station", "kind"} and _is_place(t)]
    place = places[0] if len(places) == 1 else None
    if place is None and _AUGER.search(text):
        place = _only_pit(line)
        if place is None:
            pits = all_of(line.ear, "smoker")
            return Unclear(say("Which one?"), names(pits)) if pits else None
    if place is None or any(t.sort in {"load", "unit"} for t in named(line)):
        return None
    if lost and not down and place.kind != "lane":
        return None
    if place.sort == "kind":
        among = all_of(line.ear, place.kind)
        return Unclear(say("Which one?"), names(among)) if len(among) > 1 else None
    if back and not down:
        return Wished((FireBack(place.name),), line.at)
    if slow and not (down or lost):
        return Wished((FireSlow(place.name),), line.at)
    return Wished((FireDown(place.name, back_min=_minutes(line)),), line.at)


def _is_place(one: Named) -> bool:
    return one.kind in _PLACES or (one.sort == "kind" and one.kind in _PLACES)


def _only_pit(line: Said) -> Named | None:
    pits = all_of(line.ear, "smoker")
    return Named("station", pits[0], frozenset(), "smoker") if len(pits) == 1 else None


def _minutes(line: Said) -> float | None:
    """Return 'back in 20 min' as minutes."""
    spans = [w for w in line.tokens if isinstance(w, Quantity) and w.unit in {"min", "h"}]
    return spans[0].value * (60.0 if spans[0].unit == "h" else 1.0) if len(spans) == 1 else None


def read_gas(line: Said) -> Heard | None:
    """Return 'propane out', 'se acabó el butano, queda una de 9 kg'."""
    text = plain(line)
    if not is_told(line) or _LEAK.search(text) or not _GAS_OUT.search(text):
        return None
    kilos = [w for w in line.tokens if isinstance(w, Quantity) and w.unit == "kg"]
    stations = [t.name for t in named(line) if t.sort == "station" and t.kind in _FIRES]
    wish = GasOut(stations[0] if stations else "", kilos[0].value if kilos else None)
    return Wished((wish,), line.at)


def read_supply(line: Said) -> Heard | None:
    """Return 'power out', 'no water', 'volvió la luz'."""
    text = plain(line)
    if not is_told(line):
        return None
    if _POWER_BACK.search(text):
        return Wished((SupplyOut(Supply.POWER, back=True),), line.at)
    if _WATER_BACK.search(text):
        return Wished((SupplyOut(Supply.WATER, back=True),), line.at)
    if _POWER_OUT.search(text):
        return Wished((SupplyOut(Supply.POWER),), line.at)
    return Wished((SupplyOut(Supply.WATER),), line.at) if _WATER_OUT.search(text) else None


def read_cure(line: Said) -> Heard | None:
    """Return 'sauce split', 'wind turned, smoke all over the guests'."""
    text = plain(line)
    if line.is_question or "alarm" in text:
        return None
    if _SPLIT.search(text):
        return Wished((AskCure("sauce"),), line.at)
    if _EMBER.search(text) and _CLOTH.search(text):
        return Wished((AskCure("ember"),), line.at)
    if _SMOKED.search(text):
        pits = [t.name for t in named(line) if t.sort == "station" and t.kind == "smoker"]
        return Wished((AskCure("smoke", pits[0] if pits else ""),), line.at)
    return None
