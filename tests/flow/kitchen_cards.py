"""A tiny event whose first calls are due at once: three short cards, plates in under an hour."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

EVENT = """\
id = "quick"
name = "Quick grill"
date = {date}
tz = "UTC"
profile = "uk"
heads = 8
slack = "0 min"

[[menu]]
dish = "skewers"

[[serve]]
from = "{plates}"
at_once = true
"""

KIT = """\
[[station]]
id = "G1"
kind = "grill"
size = "100 x 60 cm"
heat_up = "20 min"
"""

CREW = """\
[[person]]
id = "ana"
name = "Ana"
role = "chef"
leads = ["pit"]
shifts = [["00:00", "23:59"]]
"""

DISH = """\
id = "skewers"
name = "Pepper skewers"
batch = "4 pieces"
portion = "1 piece"

[piece]
weight = "150 g"
footprint = "20 x 4 cm"
class = "PLANT"

[[ingredient]]
name = "peppers"
qty = "600 g"
allergens = []

[[step]]
id = "grill"
do = "grill"
station = "grill"
temp = "250 C"
ideal = "8 min"
hands = 1
"""


def write_event(folder: Path, now: datetime) -> Path:
    """Write the event so that its fire should have been lit a minute ago."""
    plates = now + timedelta(minutes=27)
    (folder / "dishes").mkdir(parents=True)
    text = EVENT.format(date=plates.date().isoformat(), plates=f"{plates:%H:%M}")
    (folder / "event.toml").write_text(text, "utf-8")
    (folder / "kit.toml").write_text(KIT, "utf-8")
    (folder / "crew.toml").write_text(CREW, "utf-8")
    (folder / "dishes" / "skewers.toml").write_text(DISH, "utf-8")
    return folder
