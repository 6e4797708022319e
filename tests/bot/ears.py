"""Ears for tests: two loads of lamb in a smoker, and four loads on two pits."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from bot.phrases import Ear

NOW = datetime(2026, 6, 13, 17, 9, tzinfo=UTC)  # 18:09 in London

WEDDING = Ear(
    now=NOW,
    zone=ZoneInfo("Europe/London"),
    languages=("en", "es"),
    who="bo",
    loads=("A", "B"),
    units=("A", "A.1", "A.2", "B", "B.1", "B.2"),
    stations=("smoker", "grill", "hot1", "hot2", "box1", "box2", "box3", "box4", "tub1", "tub2"),
    dishes=(
        ("lamb-rump", "Lamb rump"),
        ("leek-potato-salad", "Leek and potato salad"),
        ("buttermilk-dressing", "Buttermilk-mustard dressing"),
        ("green-sauce", "Green sauce"),
        ("green-sauce-f", "Green sauce F"),
    ),
    people=(("ana", "Ana"), ("bo", "Bo"), ("carmen", "Carmen"), ("eli", "Eli")),
    tasks=(
        "lamb-rump/A/smoke",
        "lamb-rump/A/sear/1",
        "lamb-rump/B/smoke",
        "lamb-rump/brine/1",
        "lamb-rump/brine/2",
        "leek-potato-salad/dress",
        "light/smoker",
    ),
    plates_at=datetime(2026, 6, 13, 18, 30, tzinfo=UTC),  # 19:30 in London
    heads=320,
    kinds={
        "smoker": "smoker",
        "grill": "grill",
        **{f"hot{n}": "hot_box" for n in (1, 2)},
        **{f"box{n}": "cold_box" for n in (1, 2, 3, 4)},
        **{f"tub{n}": "tub" for n in (1, 2)},
    },
    probes=("leave-in", "red", "blue"),
    goods=("buttermilk", "wholegrain mustard", "cider vinegar", "rapeseed oil", "lamb rump"),
    off=frozenset({"eli"}),
    photo="c0ffee" + 58 * "0",
)

HARVEST = replace(
    WEDDING,
    loads=("a1", "b1", "a2", "b2"),
    units=("a1", "a1.1", "b1", "b1.1", "a2", "b2", "b2.1"),
    stations=("P1", "P2", "G1", "G2", "hot1", "lane-1b"),
    dishes=(("pork-collar", "Pork collar"), ("collar-concentrate", "Collar brine concentrate"),
            ("white-beans", "White beans")),
    tasks=("pork-collar/a1/smoke", *(f"pork-collar/brine/{n}" for n in range(1, 6))),
    running=frozenset(f"pork-collar/brine/{n}" for n in range(1, 6)),
    kinds={"P1": "smoker", "P2": "smoker", "G1": "grill", "G2": "grill", "hot1": "hot_box",
           "lane-1b": "lane"},
)  # fmt: skip

STRANGE = Ear(now=NOW, zone=UTC)
"""Nothing is cooking and nothing has a name."""
