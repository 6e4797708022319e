"""The shortest event there is, as texts, and how tests put it on disk with one thing changed."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

EVENT = """\
id = "lunch"
date = 2026-06-13
tz = "Europe/Madrid"
heads = 12
[[menu]]
dish = "chops"
[[serve]]
from = "14:00"
per_min = 2
"""

KIT = """\
[[station]]
id = "grill"
kind = "grill"
size = "100 x 50 cm"
heat_up = "40 min"
[[station]]
id = "bench"
kind = "table"
"""

CREW = """\
[[person]]
id = "ana"
name = "Ana"
role = "chef"
[[person]]
id = "bo"
name = "Bo"
role = "pit"
"""

DISH = """\
batch = "4 pieces"
portion = "2 pieces"
[[ingredient]]
name = "pork chop"
qty = "4 pieces"
[[step]]
do = "grill"
station = "grill"
temp = "250 C"
ideal = "12 min"
hands = 1
"""

SHORTEST = {"event.toml": EVENT, "kit.toml": KIT, "crew.toml": CREW, "dishes/chops.toml": DISH}


def folder(at: Path, texts: Mapping[str, str] = SHORTEST) -> Path:
    """Write an event's folder and return it."""
    for name, text in texts.items():
        path = at / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return at


def changed(file: str, old: str, new: str) -> dict[str, str]:
    """Return the shortest event with one thing changed, or `new` added where `old` is ''."""
    text = SHORTEST[file]
    if old:
        assert old in text, f"{old!r} is not in {file}"
        text = text.replace(old, new, 1)
    else:
        text += new
    return {**SHORTEST, file: text}
