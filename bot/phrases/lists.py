"""Lists ticked by shouting, and 'check A': when to look and what to expect."""

from __future__ import annotations

import re

from bot.phrases.heard import Heard, Queried, Wished
from bot.phrases.said import Said
from core.facts import TickLoaded

_LOADED = re.compile(
    r"^\s*(?:loaded|in the van|cargad[oa]s?|en la furgo(?:neta)?)[:\s]+(\S.{0,60})$", re.IGNORECASE
)
_LOAD_OUT = re.compile(
    r"^\s*(?:load[- ]?out|van list|carga|furgo(?:neta)?)(?:\s+[a-z]{1,4})?\s*\??$", re.IGNORECASE
)
_READING = re.compile(r"\s[-+]?\d")
_LOOK = re.compile(r"^\s*(?:check|mira|revisa|comprueba)\s+(\S.{0,30})$", re.IGNORECASE)


def read_loaded(line: Said) -> Heard | None:
    """Read 'loaded tongs': something of the van's list is in."""
    found = _LOADED.match(line.text)
    return Wished((TickLoaded(found[1].strip()),), line.at) if found else None


def read_load_out(line: Said) -> Heard | None:
    """Read 'load-out': what is in the van and what is missing."""
    return Queried("load-out") if _LOAD_OUT.match(line.text) else None


def read_look(line: Said) -> Heard | None:
    """Read 'check A': when to look at a load next."""
    found = _LOOK.match(line.text)
    arg = line.text.strip() if line.slash == "check" else found[1].strip() if found else ""
    return Queried("check", arg) if arg and not _READING.search(arg) else None
