"""Safety said freely: alarms, lifts, labels, batches as made, thermometers, the sick.

Names of allergens are read exactly; a list with one word that is not known is asked about.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from bot.phrases.about import names
from bot.phrases.heard import Asked, Ear, Heard, Unclear, Wished
from bot.phrases.manners import POLITE
from bot.phrases.readings import DEGREES, read_reading
from bot.phrases.reports import read_report
from bot.phrases.said import Said, said
from bot.phrases.subjects import named
from core.allergens.words import asked_tokens, same_thing
from core.ask.asked_emergency import alarm_heard, is_supposed
from core.ask.clearing import folded
from core.facts import (
    ApprovePink,
    CheckIce,
    DoubtProbe,
    GiveReading,
    LiftStop,
    MakeBatch,
    RaiseAlarm,
    ReadLabel,
    ReportBack,
    ReportSick,
    ReportStep,
    ShowLabel,
    SwapBrand,
    Wish,
)
from core.model import Label, Place, Reading, say
from core.words import Num, Quantity


def plain(line: Said) -> str:
    """Return the words without case, accents, signs, manners and swearing, a space around each."""
    return f" {' '.join(w for w in folded(line.text).split() if w not in POLITE)} "


# ------------------------------------------------------------------ alarms


def read_alarm(line: Said) -> Heard | None:
    """Return 'smoke alarm in tent', 'bo collapsed': every phone that must know rings."""
    if line.slash == "ask":
        return None
    alarm = alarm_heard(line.text)
    if alarm is None:
        return None
    return Asked(line.text) if is_supposed(line.text) else Wished((RaiseAlarm(alarm.value),))


# ------------------------------------------------------------------ lifts

_LIFT = re.compile(
    r"^\s*(?:please\s+)?(?:lift|override|levant(?:a|ar)|quita(?:r)?)\s+"
    r"(?:the\s+|el\s+|la\s+)?(?:stop|bin|alarm|parada|alto|tirar)?\s*(?:on\s+|for\s+|de\s+|del\s+)?"
    r"(?P<what>[^:,;]*?)\s*(?:(?:[:,;]|\bbecause\b|\breason\b|\bporque\b|\bmotivo\b)\s*(?P<why>.*))?$",
    re.IGNORECASE,
)
_ANYWAY = re.compile(
    r"^\s*(?:serve|use|keep|sirve|servir|usa|usar)\s+(?P<what>[^:,;]*?)\s*"
    r"(?:anyway|all the same|igual(?:mente)?|de todas formas|de todos modos)\s*"
    r"(?:(?:[:,;]|\bbecause\b|\bporque\b)?\s*(?P<why>.*))?$",
    re.IGNORECASE,
)


def read_lift(line: Said) -> Heard | None:
    """Return 'lift A: seared 2 min more, 71 at 3 places', 'serve A anyway, …'."""
    found = _ANYWAY.match(line.text) or _LIFT.match(line.text)
    if found is None or line.slash == "ask" or line.text.rstrip().endswith("?"):
        return None
    stop = re.search(r"\b(?:stop|bin|parada|alto)\b", line.text, re.IGNORECASE)
    what = found["what"].strip(" .")
    known = {folded(n) for n in (*line.ear.units, *line.ear.loads, *line.ear.stations)}
    is_lift = _ANYWAY.match(line.text) or stop or folded(what) in known or named(line)
    return Wished((LiftStop(what, (found["why"] or "").strip()),)) if is_lift else None


# ------------------------------------------------------------------ brands and labels

_BRAND = (
    " brand ", " brands ", " marca ", " otro proveedor ", " supplier changed ", " new label ",
    " different label ", " otra etiqueta ", " new supplier ",
)  # fmt: skip
_OTHER = frozenset(
    ["nueva", "nuevo", "otra", "otro", "distinta", "distinto", "diferente", "cambio", "cambiada"]
)
_BESIDE_BRAND = frozenset(
    [
        "new",
        "diff",
        "different",
        "other",
        "another",
        "brand",
        "brands",
        "marca",
        "nueva",
        "nuevo",
        "otra",
        "otro",
        "distinta",
        "distinto",
        "de",
        "del",
        "la",
        "el",
        "los",
        "las",
        "the",
        "a",
        "an",
        "is",
        "of",
        "with",
        "from",
        "tub",
        "tubs",
        "box",
        "pack",
        "bag",
        "bottle",
        "jar",
        "case",
        "supplier",
        "changed",
        "proveedor",
        "label",
        "etiqueta",
        "opened",
        "open",
        "abierto",
        "abierta",
        "using",
        "now",
        "we",
        "it",
        "bote",
        "cubo",
        "caja",
        "bolsa",
        "botella",
        "swapped",
        "cambio",
        "cambiada",
        "cambiado",
        "tarro",
        "in",
        "use",
        "es",
        "son",
        "hay",
        "have",
        "got",
        "started",
    ]
)


def read_swap(line: Said) -> Heard | None:
    """Return 'new mayo tub diff brand', 'mayo nueva otra marca'."""
    text = plain(line)
    asks = line.text.rstrip().endswith("?") or line.has("how_much")
    if asks or not any(cue in text for cue in _BRAND) or line.slash == "ask":
        return None
    spanish = " marca " in text
    if spanish and (not _OTHER & set(text.split()) or any(c.isdigit() for c in text)):
        return None  # 'caja 2 marca 7' is a reading
    if " same brand " in text or " misma marca " in text or line.is_denied:
        return None
    ingredient = _ingredient(text, line.ear)
    if not ingredient:
        return Unclear(say("Which ingredient is of another brand?"), names(line.ear.goods))
    return Wished((SwapBrand(ingredient, line.ear.photo),), line.at)


def _ingredient(text: str, ear: Ear) -> str:
    """Return the longest run of words that some card's ingredient is called; else what is left."""
    words = [w for w in text.split() if w not in _BESIDE_BRAND and not w.isdigit()]
    for width in range(min(4, len(words)), 0, -1):
        for at in range(len(words) - width + 1):
            run = " ".join(words[at : at + width])
            if len(run) > 2 and any(same_thing(run, good) for good in ear.goods):
                return run
    return " ".join(words[:3])


_LABEL = re.compile(
    r"^\s*(?:label|etiqueta)\s+(?:of\s+|de\s+|del\s+|la\s+)?(?P<what>[^:=]+?)\s*"
    r"(?:(?:[:=]|\bsays\b|\bdice\b|\bpone\b)\s*(?P<list>.*))?$",
    re.IGNORECASE,
)
_PERHAPS = re.compile(
    r"\b(?:may contain|may have|traces of|traces|puede contener|puede llevar|trazas de|trazas)\b:?",
    re.IGNORECASE,
)
_NONE = frozenset({"none", "nothing", "nada", "ninguno", "ninguna", "no allergens", "sin alergenos",
                   "no allergen", "no alergenos"})  # fmt: skip
_DENIES = frozenset(["no", "not", "without", "free", "sin", "nor", "ni"])


def read_label(line: Said) -> Heard | None:
    """Return 'label mayo: egg, mustard', 'etiqueta mayo: huevo; puede contener leche'."""
    found = _LABEL.match(line.text)
    if found is None or line.slash == "ask":
        return None
    what = " ".join(w for w in folded(found["what"]).split() if w not in POLITE | {"photo", "foto"})
    if not what:
        return None
    if not (found["list"] or "").strip():
        return _photo(what, line.ear)
    surely, perhaps = _both(found["list"])
    inside, may = _tokens(surely), _tokens(perhaps)
    if isinstance(inside, str) or isinstance(may, str):
        strange = inside if isinstance(inside, str) else str(may)
        return Unclear(
            say("'{word}' is no allergen I know. Say the label again: 'label {what}: egg, milk'.",
                word=Label(strange[:40]), what=Label(what))
        )  # fmt: skip
    return Wished((ReadLabel(what, inside, may, line.ear.photo),), line.at)


def _photo(what: str, ear: Ear) -> Heard:
    if ear.photo:
        return Wished((ShowLabel(what, ear.photo),))
    return Unclear(
        say("What does the label of {what} name? 'label {what}: egg, milk', or none. Or a photo.",
            what=Label(what))
    )  # fmt: skip


def _both(text: str) -> tuple[str, str]:
    parts = _PERHAPS.split(text, maxsplit=1)
    return parts[0], (parts[1] if len(parts) > 1 else "")


def _tokens(text: str) -> tuple[str, ...] | str:
    """Return the allergens of a list; a part that is none of them as it was typed."""
    found: list[str] = []
    for raw in re.split(r"[,;/&]|\by\b|\band\b|\be\b|\+", text):
        part = " ".join(
            w for w in folded(raw).split() if w not in POLITE | {"contains", "contiene"}
        )
        if not part or part in _NONE:
            continue
        tokens = asked_tokens(part)
        left = [w for w in part.split() if not asked_tokens(w) and not _of_a_pair(part, w)]
        if not tokens or left or _DENIES & set(part.split()):
            return part
        found += tokens
    return tuple(dict.fromkeys(found))


def _of_a_pair(part: str, word: str) -> bool:
    """Say whether a word belongs to a name of several: 'tree' of tree nuts, 'sulphur' dioxide."""
    words = part.split()
    at = words.index(word)
    runs = [words[max(0, at - k) : at - k + n] for n in (2, 3) for k in range(n)]
    return any(len(run) > 1 and word in run and asked_tokens(" ".join(run))
               and asked_tokens(" ".join(run)) != asked_tokens(" ".join(w for w in run if w != word))
               for run in runs) or word in {"tree", "de", "dioxide", "sulphur", "shellfish"}  # fmt: skip


# ------------------------------------------------------------------ batches as made

_WITH = re.compile(r"\s(?:with|con)\s", re.IGNORECASE)
_MADE = re.compile(r"\b(?:made|mixed|hech[oa]s?|list[oa]|ready|mezclad[oa])\b", re.IGNORECASE)
_BATCH = re.compile(r"\b(?:batch|lote|tanda|hornada)\s*(?:no\.?|n[ºo]\.?|#)?\s*(?P<n>\d{1,2})\b",
                    re.IGNORECASE)  # fmt: skip


def read_batch(line: Said) -> Heard | None:
    """Return 'slaw batch 2 made 10:40 with cream', 'ensalada lote 2 hecha 10:40 con nata'."""
    if line.is_question or line.is_denied or line.slash == "ask" or _weighs(line):
        return None
    parts = _WITH.split(line.text, maxsplit=1)
    number = _BATCH.search(parts[0])
    english = re.search(r"\bmade\b", parts[0], re.IGNORECASE)
    if not _MADE.search(parts[0]) or not (number or english):
        return None
    head = said(_BATCH.sub(" ", parts[0]), line.ear)
    dishes = list(dict.fromkeys(t.name for t in named(head) if t.sort == "dish"))
    if not dishes:
        return None
    if len(dishes) > 1:
        spoken = dict(line.ear.dishes)
        return Unclear(say("Which dish?"), names([spoken[d] for d in dishes]))
    n = int(number["n"]) if number else None
    return Wished((MakeBatch(dishes[0], n, _uses(parts[1] if len(parts) > 1 else "")),), line.at)


def _weighs(line: Said) -> bool:
    units = {"kg", "g", "L", "mL", "lb", "oz"}
    return any(isinstance(t, Quantity) and t.unit in units for t in line.tokens) or line.has(
        "people"
    )


def _uses(text: str) -> tuple[str, ...]:
    found = []
    for raw in re.split(r"[,;/&]|\by\b|\band\b|\+", text):
        kept = [w for w in folded(raw).split() if w not in POLITE | _BESIDE_BRAND]
        if kept:
            found.append(" ".join(kept)[:40])
    return tuple(dict.fromkeys(found))


# ------------------------------------------------------------------ thermometers

_FALLEN = re.compile(
    r"\b(?:dropped|drop|fell|fallen|wet|soaked|broken|suelo|floor|caid[oa]|cayo|se ha caido|mojad[oa]"
    r"|rot[oa]|golpe|banged|hit)\b"
)
_WET = re.compile(r"\b(?:wet|soaked|mojad[oa])\b")
_DIFFER = re.compile(r"\b(?:disagrees?|differs?|no coinciden?|off by|lies|lying|miente)\b")
_PROBE = re.compile(
    r"\b(?:probe|thermometer|sonda|term[oó]metro)\s*(?:no\.?|n[ºo]\.?|#)?\s*(?P<n>\d{1,2})\b(?![.,]\d)"
    r"|\b(?P<m>\d{1,2})(?:st|nd|rd|th)\s+probe\b",
    re.IGNORECASE,
)


def probe_named(text: str, ear: Ear) -> tuple[str, str]:
    """Return the thermometer a text names, and the text without it; '' for none."""
    for name in sorted(ear.probes, key=len, reverse=True):
        spelt = re.escape(name).replace(r"\ ", "[ -]?").replace(r"\-", "[ -]?")
        beside = r"(?:probe|sonda|thermometer|term[oó]metro)"
        found = re.search(rf"\b(?:{beside}\s+)?{spelt}(?:\s+{beside})?\b", text, re.IGNORECASE)
        if found:
            return name, f"{text[: found.start()]} {text[found.end() :]}"
    found = _PROBE.search(text)
    if found is None:
        return "", text
    number = int(found["n"] or found["m"])
    name = ear.probes[number - 1] if 1 <= number <= len(ear.probes) else f"probe {number}"
    return name, f"{text[: found.start()]} {text[found.end() :]}"


def _is_of_probe(line: Said, text: str) -> bool:
    return line.has("probe") or bool(probe_named(text.strip(), line.ear)[0])


def read_probe(line: Said) -> Heard | None:
    """Return 'dropped probe 2', 'sonda al suelo'; 'probe red disagrees'."""
    text = plain(line)
    if line.slash == "ask" or line.text.rstrip().endswith("?") or not _is_of_probe(line, text):
        return None
    why = "disagrees" if _DIFFER.search(text) else ("wet" if _WET.search(text) else "dropped")
    if not (_FALLEN.search(text) or why == "disagrees") or line.has("ice") or line.is_denied:
        return None
    numbers = [t for t in line.tokens if isinstance(t, Quantity) and t.unit in DEGREES]
    if numbers:
        return None
    return _of_probe(line, lambda name: DoubtProbe(name, why))


def read_ice(line: Said) -> Heard | None:
    """Return 'probe 1 ice 0.3', 'sonda red hielo 0,3', 'ice check blue 32.4 F'."""
    text = plain(line)
    if not line.has("ice") or line.slash == "ask" or line.text.rstrip().endswith("?"):
        return None
    if not _is_of_probe(line, text) and " check " not in text:
        return None
    rest = said(probe_named(line.text, line.ear)[1], line.ear)
    numbers = [t for t in rest.tokens if isinstance(t, Num)
               or (isinstance(t, Quantity) and t.unit in DEGREES)]  # fmt: skip
    if len(numbers) != 1 or _FALLEN.search(text):
        return None
    value = numbers[0].value
    unit = numbers[0].unit if isinstance(numbers[0], Quantity) else ""
    fahrenheit = unit == "°F" or (unit != "°C" and value > _SURELY_F)
    return _of_probe(line, lambda probe: CheckIce(probe, value, fahrenheit))


_SURELY_F = 20.0  # ice at more than this was read in °F


def _of_probe(line: Said, wish: Callable[[str], Wish]) -> Heard:
    """Return a wish about the thermometer named, or the only one there is; else ask which."""
    probes = line.ear.probes
    name = probe_named(line.text, line.ear)[0] or (probes[0] if len(probes) == 1 else "")
    if not name:
        return Unclear(say("Which probe?"), names(probes))
    return Wished((wish(name),), line.at)


def read_probed(line: Said) -> Heard | None:
    """Return 'A 46 red', 'A red 58 blue 64': readings with the thermometer that showed them."""
    name, rest = probe_named(line.text, line.ear)
    if not name or line.slash == "ask":
        return None
    other, both = probe_named(rest, line.ear)
    if other:
        return _two_probes(line, (name, other), both)
    heard = read_reading(said(rest, line.ear, line.slash))
    if isinstance(heard, Wished):
        return Wished(tuple(_by(name, wish) for wish in heard.wishes), heard.at)
    return _off_by(name, read_report(said(rest, line.ear, line.slash)), line)


def _off_by(probe: str, heard: Heard | None, line: Said) -> Heard | None:
    """Return 'a1 off 50 green': the reading with its thermometer, then the report."""
    wish = heard.wishes[0] if isinstance(heard, Wished) and len(heard.wishes) == 1 else None
    if not isinstance(heard, Wished) or not isinstance(wish, ReportStep) or wish.core_c is None:
        return None
    at = heard.at or line.ear.now
    shown = Reading(wish.core_c, Place.CORE, at, line.ear.who, wish.subject, instrument=probe)
    return Wished((GiveReading(shown), replace(wish, core_c=None)), heard.at)


def _two_probes(line: Said, probes: tuple[str, str], rest: str) -> Heard | None:
    """Read the same thing with two thermometers: each number belongs to the name before it."""
    shown = {name: _number_after(line.text, name) for name in probes}
    values = list(shown.values())
    if None in values:
        return None
    found: list[Wish] = []
    for name, value in shown.items():
        bare = rest
        for each in values:
            bare = re.sub(rf"(?<![\d.,]){re.escape(str(each))}(?![\d])", " ", bare, count=1)
        heard = read_reading(said(f"{bare} {value}", line.ear, line.slash))
        if not isinstance(heard, Wished):
            return None
        found += [_by(name, wish) for wish in heard.wishes]
    return Wished(tuple(found), line.at)


def _number_after(text: str, name: str) -> str | None:
    spelt = re.escape(name).replace(r"\-", "[ -]?")
    found = re.search(rf"{spelt}\s*(?:probe|sonda|says|reads|dice|:|=)?\s*(-?\d+(?:[.,]\d+)?)", text,
                      re.IGNORECASE)  # fmt: skip
    return found[1] if found else None


def _by(probe: str, wish: Wish) -> Wish:
    if not isinstance(wish, GiveReading):
        return wish
    return GiveReading(replace(wish.reading, instrument=probe))


# ------------------------------------------------------------------ the sick

_ME = frozenset(["i", "im", "ive", "me", "yo", "estoy", "tengo", "he", "myself"])
_SICK = re.compile(
    r"\b(?:vomit\w*|puk\w+|threw up|throwing up|diarrh?o?ea|diarrea|the runs|sick|ill|food poisoning"
    r"|stomach bug|gastro\w*|enferm[oa]|malit[oa]|mal[oa]|devuelto|devolviendo)\b"
)
_BACK = re.compile(
    r"\b(?:back|better|fine|well|recovered|vuelve|vuelto|vuelta|mejor|bien|recuperad[oa]|here|aqui)\b"
)


def read_sick(line: Said) -> Heard | None:
    """Return 'luis vomito', 'Luis is sick', 'i have diarrhoea': told to the chef alone."""
    text = plain(line)
    if not _SICK.search(text) or line.slash == "ask" or line.is_question or _weighs(line):
        return None
    if {"not", "isnt", "no"} & set(text.split()):
        return None
    who = _person(line, text)
    return Wished((ReportSick(who),), line.at) if who else None


def _person(line: Said, text: str) -> str:
    words = text.split()
    for person, name in line.ear.people:
        if {folded(person), folded(name), folded(name).split(" ", maxsplit=1)[0]} & set(words):
            return person
    known = any(person == line.ear.who for person, _ in line.ear.people)
    return line.ear.who if known and _ME & set(words) else ""


def read_back(line: Said) -> Heard | None:
    """Return 'luis back', 'luis de vuelta' of somebody who was off sick."""
    text = plain(line)
    who = _person(line, text)
    if who not in line.ear.off or not _BACK.search(text) or line.slash == "ask":
        return None
    return Wished((ReportBack(who),), line.at)


_PINK = re.compile(r"\b(?:pink|rare|rosad[oa]|rosa|poco hech[oa])\b")
_APPROVES = re.compile(r"\b(?:approve[sd]?|i answer for|aprueb[oa]|apruebo|respondo)\b")


def read_pink(line: Said) -> Heard | None:
    """Return 'approve pink lamb', 'apruebo cordero rosado'."""
    text = plain(line)
    if not (_PINK.search(text) and _APPROVES.search(text)) or line.is_question or line.is_denied:
        return None
    dishes = list(dict.fromkeys(t.name for t in named(line) if t.sort == "dish"))
    if len(dishes) != 1:
        spoken = dict(line.ear.dishes)
        return Unclear(
            say("Which dish?"), names([spoken[d] for d in dishes] or list(spoken.values()))
        )
    return Wished((ApprovePink(dishes[0]),), line.at)
