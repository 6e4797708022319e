"""Every line of both example days is understood for what it is, or handed on; none is lost."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import cache
from pathlib import Path

import pytest

import bot.examples
from bot.cards import read_event
from bot.phrases import Asked, Ear, Heard, Queried, Wished, parse
from core.facts import GiveReading, Report, ReportStep
from core.planner import plan

EXAMPLES = Path(bot.examples.__file__).parent
DAYS = ("golden_wedding", "harvest_supper")


@cache
def _ear(name: str) -> Ear:
    cards = read_event(EXAMPLES / name)
    first = plan(cards)
    keys = (*(r.key for r in first.runs()), *(t.id for t in first.tasks))
    day = datetime.combine(cards.event.day, datetime.min.time(), tzinfo=cards.event.zone)
    return Ear(
        now=day + timedelta(hours=18),
        zone=cards.event.zone,
        languages=cards.event.languages,
        who="ana",
        loads=tuple(load.name for load in first.loads),
        units=tuple(dict.fromkeys(r.unit for r in first.runs())),
        stations=tuple(s.id for s in cards.kit.stations),
        dishes=tuple((d.id, d.name) for d in cards.dishes),
        people=tuple((p.id, p.name) for p in cards.crew),
        tasks=tuple(keys),
        plates_at=first.plates_at,
        heads=first.heads,
        kinds={s.id: s.kind.value for s in cards.kit.stations},
    )


def _typed(name: str) -> list[str]:
    lines = (EXAMPLES / name / "day.txt").read_text("utf-8").splitlines()
    said = [line.split(": ", 1)[1] for line in lines if ": " in line and line[0] != "#"]
    return [text for text in said if not text.startswith("(")]


LINES = [(name, text) for name in DAYS for text in _typed(name)]


@pytest.mark.parametrize(("name", "text"), LINES)
def test_no_line_of_a_day_is_taken_for_banter(name: str, text: str) -> None:
    assert isinstance(parse(text, _ear(name)), Wished | Queried | Asked)


def _gist(heard: Heard) -> tuple[str, ...]:
    assert isinstance(heard, Wished)
    (wish,) = heard.wishes
    match wish:
        case ReportStep(subject=subject, verb=verb, report=report):
            return subject, verb, report.value
        case GiveReading(reading=reading):
            return reading.about, reading.place.value, f"{reading.value:g}"
        case _:
            return (type(wish).__name__,)


@pytest.mark.parametrize(
    ("name", "text", "gist"),
    [
        ("golden_wedding", "brine on", ("brine", "", "start")),
        ("golden_wedding", "box 3 6.5", ("box3", "air", "6.5")),
        ("golden_wedding", "caja 2 comida 4,6", ("box2", "tub", "4.6")),
        ("golden_wedding", "celeriac off", ("celeriac", "off", "done")),
        ("golden_wedding", "12:08 A on", ("A", "on", "start")),
        ("golden_wedding", "pit 92", ("smoker", "pit", "92")),
        ("golden_wedding", "A.2 off", ("A.2", "off", "done")),
        ("golden_wedding", "carve A", ("A", "slice", "start")),
        ("golden_wedding", "tirar ensalada", ("leek-potato-salad", "bin", "discard")),
        ("golden_wedding", "+8 coming, 2 veggie", ("ChangeHeads",)),
        ("golden_wedding", "plates at 14:15", ("MovePlates",)),
        ("golden_wedding", "A 4 min late", ("RunLate",)),
        ("harvest_supper", "collar 6.8", ("pork-collar", "core", "6.8")),
        ("harvest_supper", "judías 24", ("white-beans", "core", "24")),
        ("harvest_supper", "4/5 fuera", ("brine", "", "done")),
        ("harvest_supper", "light P1", ("P1", "light", "start")),
        ("harvest_supper", "a1 off 50", ("a1", "off", "done")),
        ("harvest_supper", "a2 P2", ("a2", "", "move")),
        ("harvest_supper", "ensalada aliñada", ("aubergine-bean-salad", "dress", "done")),
        ("harvest_supper", "go", ("", "serve", "start")),
        ("harvest_supper", "365, perdona", ("ChangeHeads",)),
    ],
)
def test_a_line_of_a_day_is_read_as_it_was_meant(
    name: str, text: str, gist: tuple[str, ...]
) -> None:
    assert _gist(parse(text, _ear(name))) == gist


@pytest.mark.parametrize("name", DAYS)
@pytest.mark.parametrize("spoil", ["don't {}", "{}?", "not {} yet", "when {}"])
def test_no_report_of_a_day_is_booked_once_it_is_denied_or_asked(name: str, spoil: str) -> None:
    for text in _typed(name):
        heard = parse(text, _ear(name))
        if not isinstance(heard, Wished):
            continue
        if any(isinstance(w, ReportStep) and w.report is not Report.MOVE for w in heard.wishes):
            spoiled = parse(spoil.format(text), _ear(name))
            assert not isinstance(spoiled, Wished), spoil.format(text)
