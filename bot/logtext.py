"""A cook's log as text and as JSON, with the word on its chain."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import UTC, tzinfo

from bot.codec import fact_text
from bot.record import line_of
from bot.render import render
from core.cook import Cook
from core.facts import Entry
from core.model import Label, Line, say


def log_lines(
    entries: Sequence[Entry], cook: Cook, head: str, broken: int | None
) -> tuple[str, ...]:
    """Return one line a fact, then whether the chain holds."""
    zone: tzinfo = cook.cards.event.zone if cook.cards else UTC
    lang = cook.cards.event.languages[0] if cook.cards else "en"
    lines = [f"#{e.seq:<4} {render(line_of(e, cook), lang, zone)}" for e in entries]
    return (*lines, render(chain_line(head, broken), lang, zone))


def chain_line(head: str, broken: int | None) -> Line:
    """Return whether the chain of hashes holds, and its head."""
    if broken is not None:
        return say("CHAIN BROKEN at #{seq}: the log was edited after that.", seq=broken)
    return say("Chain holds. Head {head}.", head=Label(head[:12]))


def log_json(
    entries: Sequence[Entry], cook: Cook, head: str, broken: int | None
) -> dict[str, object]:
    """Return the log for machines: every fact as it is stored, times ISO 8601 with offset."""
    zone: tzinfo = cook.cards.event.zone if cook.cards else UTC
    return {
        "cook": cook.id,
        "head": head,
        "verified": broken is None,
        "broken_at": broken,
        "facts": [
            {
                "seq": e.seq,
                "at": e.at.astimezone(zone).isoformat(),
                "heard": e.heard.astimezone(zone).isoformat(),
                "by": e.by,
                "text": render(line_of(e, cook), "en", zone),
                "fact": json.loads(fact_text(e.fact)),
            }
            for e in entries
        ],
    }
