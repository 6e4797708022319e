"""Wind, rain and cold as one switch: 'wind 30', 'its pissing down', 'viento fuera'."""

from __future__ import annotations

import re

from bot.phrases.heard import Heard, Unclear, Wished
from bot.phrases.said import Said
from bot.phrases.slip_fires import plain
from core.facts.slips import SwitchWeather
from core.model import Qty, Rain, say

_LEAD = r"^(now |ahora |ya )?(its |it is |the |el |la |hay |hace |heavy |strong |mucho |big )*"
_WIND = re.compile(
    _LEAD + r"(wind|winds|gusts?|gusting|windy|viento|rachas?( de viento)?|sopla)"
    r"( forecast| is| are| now| of| at| de| a| up to| hasta| on)*"
    r"( (?P<n>\d{1,3}([.,]\d)?) ?(?P<u>km/?h|kph|kmh|mph|m/s|kn|knots?|kts?|nudos)?)?"
    r"( (km/?h|now|ya|from|desde|at|a|las|\d{1,2}[:.h]?\d{0,2}|gusting|rachas|de|\d{1,3}))*$"
)
_WIND_OFF = re.compile(
    _LEAD + r"((wind|viento) (is |has )*(off|gone|dropped|died( down)?|down|over|stopped|fuera|"
    r"amaina|amainado|parado|flojo|se ha ido|calmado)|(no|sin) (more )?(wind|viento)|"
    r"calm( now)?|(ya )?no (hace|hay) viento|(amaino|paro) el viento|calma)$"
)
_RAIN = re.compile(
    _LEAD + r"(pissing( it)? down|chucking it down|raining|rain|pouring|bucketing|tipping down|"
    r"lluvia|llueve|lloviendo|esta lloviendo|diluvia|diluviando|cae la de dios|chubasco|rainy|"
    r"empieza a llover)( on| now| hard| again| mucho| fuerte| otra vez| ya| a mares| a cantaros)*$"
)
_DRIZZLE = re.compile(
    _LEAD + r"(drizzle|drizzling|spitting|light rain|chispea|chispeando|llovizna|lloviznando)\b"
)
_RAIN_OFF = re.compile(
    r"\b(rain (is |has )*(off|gone|stopped|over|eased)|stopped raining|no (more )?rain|"
    r"lluvia fuera|(ya )?no llueve|escampa|escampo|paro de llover|(ha )?dejado de llover|"
    r"dejo de llover|sin lluvia|dry again)\b"
)
_COLD = re.compile(
    _LEAD + r"(really |very |bloody |muy )?(cold|freezing|frio|fresco)( outside| now| out| on| ya|"
    r" en la calle| de| at| a)*( (?P<n>-?\d{1,2}) ?(c|°c|grados|degrees)?)?$"
)
_AIR = re.compile(
    r"^(air|outside|outside air|aire|en la calle)( is| temp| now| a| at)* (?P<n>-?\d{1,2}) ?"
    r"(c|grados)? (outside|out|fuera|cold|frio)$"
)
_COLD_OFF = re.compile(
    r"\b(cold (is )?(off|gone|over)|frio fuera|(ya )?no hace frio|warm(ed|er)? (up )?again)\b"
)
_ALL_OFF = re.compile(
    r"^(weather (off|normal|as forecast|back to normal)|tiempo (normal|fuera|como previsto))$"
)
_TO_KMH = {"mph": 1.609344, "m/s": 3.6, "kn": 1.852, "kt": 1.852, "kts": 1.852, "knot": 1.852,
           "knots": 1.852, "nudos": 1.852}  # fmt: skip
_ASKS = frozenset({"is", "will", "does", "how", "when", "what", "if", "si", "va", "cuando"})
_USUAL_KMH = (20, 30, 45)
_USUAL_C = (8, 3, 0)


def read_weather(line: Said) -> Heard | None:
    """Return weather switched on or off; a question where wind or cold has no number."""
    text = plain(line)
    if "?" in line.text or not text or text.split()[0] in _ASKS:
        return None
    off = _off(text)
    if off is not None:
        return Wished((off,), line.at)
    if _DRIZZLE.search(text):
        return Wished((SwitchWeather(rain=Rain.LIGHT),), None)
    if _RAIN.search(text):
        return Wished((SwitchWeather(rain=Rain.HEAVY),), None)
    wind = _WIND.match(text)
    if wind is not None:
        return _wind(line, wind)
    cold = _AIR.match(text) or _COLD.match(text)
    return _cold(cold) if cold is not None else None


def _off(text: str) -> SwitchWeather | None:
    if _ALL_OFF.match(text):
        return SwitchWeather(on=False)
    if _RAIN_OFF.search(text):
        return SwitchWeather(rain=Rain.NONE, on=False)
    if _COLD_OFF.search(text):
        return SwitchWeather(air_c=20.0, on=False)
    return SwitchWeather(wind_kmh=0.0, on=False) if _WIND_OFF.match(text) else None


def _wind(line: Said, found: re.Match[str]) -> Heard:
    if found["n"] is None:
        picks = tuple(say("{wind}", wind=Qty(n, "km/h", 0)) for n in _USUAL_KMH)
        return Unclear(say("Wind: how much?"), picks)
    speed = float(found["n"].replace(",", ".")) * _TO_KMH.get(found["u"] or "", 1.0)
    later = line.at if line.times else None
    start = later if later is not None and later > line.ear.now else None
    return Wished((SwitchWeather(wind_kmh=round(speed, 1), start=start),), None)


def _cold(found: re.Match[str]) -> Heard:
    if found["n"] is None:
        picks = tuple(say("{air}", air=Qty(n, "°C", 0)) for n in _USUAL_C)
        return Unclear(say("Air outside: how cold?"), picks)
    return Wished((SwitchWeather(air_c=float(found["n"])),), None)
