"""The translations of one language, compiled in memory from its parts at first use."""

from __future__ import annotations

import gettext
import io
from functools import cache
from importlib.resources import files

LANGUAGES = ("en", "es")


@cache
def catalogue(lang: str) -> gettext.NullTranslations:
    """Return a language's translations; English, and any language we do not have, as written."""
    if lang not in LANGUAGES or lang == "en":
        return gettext.NullTranslations()
    from babel.messages.catalog import Catalog
    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    whole = Catalog(locale=lang, charset="utf-8", fuzzy=False)
    for name, text in part_texts(lang):
        part = read_po(io.BytesIO(text.encode()), locale=lang, domain=name, charset="utf-8")
        for message in part:
            if message.id and message.id not in whole:
                whole[message.id] = message
    compiled = io.BytesIO()
    write_mo(compiled, whole)
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


def part_texts(lang: str) -> tuple[tuple[str, str], ...]:
    """Return the name and text of each part of a language, by name."""
    parts = files("bot") / "locale" / lang / "LC_MESSAGES" / "parts"
    found = [p for p in parts.iterdir() if p.name.endswith(".po")] if parts.is_dir() else []
    return tuple((p.name, p.read_text("utf-8")) for p in sorted(found, key=lambda p: p.name))


def translated(text: str, lang: str) -> str:
    """Return a message in a language; as it is where nobody translated it."""
    return catalogue(lang).gettext(text) if text else ""
