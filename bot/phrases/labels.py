"""Brands, labels and batches as made. Allergens are read exactly; what is not known is asked."""

from __future__ import annotations

import re

from bot.phrases.about import names
from bot.phrases.heard import Ear, Heard, Unclear, Wished
from bot.phrases.manners import POLITE
from bot.phrases.said import Said, said
from bot.phrases.subjects import named
from bot.phrases.weighing import plain, weighs
from core.allergens.words import asked_tokens, same_thing
from core.ask.clearing import folded
from core.facts import MakeBatch, ReadLabel, ShowLabel, SwapBrand
from core.model import Label, say

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


_OF_A_NAME = frozenset({"tree", "de", "of", "dioxide", "sulphur", "sulfur", "shellfish"})
"""Words that belong to an allergen's name of several: tree nuts, sulphur dioxide."""


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
        left = {w for w in part.split() if not asked_tokens(w)} - _OF_A_NAME
        if not tokens or left or _DENIES & set(part.split()):
            return part
        found += tokens
    return tuple(dict.fromkeys(found))


# ------------------------------------------------------------------ batches as made

_WITH = re.compile(r"\s(?:with|con)\s", re.IGNORECASE)
_MADE = re.compile(r"\b(?:made|mixed|hech[oa]s?|list[oa]|ready|mezclad[oa])\b", re.IGNORECASE)
_BATCH = re.compile(r"\b(?:batch|lote|tanda|hornada)\s*(?:no\.?|n[ºo]\.?|#)?\s*(?P<n>\d{1,2})\b",
                    re.IGNORECASE)  # fmt: skip


def read_batch(line: Said) -> Heard | None:
    """Return 'slaw batch 2 made 10:40 with cream', 'ensalada lote 2 hecha 10:40 con nata'."""
    if line.is_question or line.is_denied or line.slash == "ask" or weighs(line):
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


def _uses(text: str) -> tuple[str, ...]:
    found = []
    for raw in re.split(r"[,;/&]|\by\b|\band\b|\+", text):
        kept = [w for w in folded(raw).split() if w not in POLITE | _BESIDE_BRAND]
        if kept:
            found.append(" ".join(kept)[:40])
    return tuple(dict.fromkeys(found))
