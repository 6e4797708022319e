"""Pictures: what is on them, how tall it is, and that nothing on them touches anything else."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from datetime import datetime, timedelta
from io import BytesIO
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from bot.pictures import plan_card, timeline
from bot.pictures.actions import actions, joined
from bot.pictures.bars import Bar, Detail, Window, rows_of, window_of
from bot.pictures.board import Board
from bot.pictures.card import KEY, PX_PER_MM, SMALL, TIME, upcoming
from bot.pictures.face import shown
from bot.pictures.placing import LABEL, WIDTH, Mark, Scale, placed
from bot.pictures.timeline import bands_of
from bot.render import render
from core.model import Cards, Line, Plan
from tests.bot.plans import at, harvest, harvest_plan, wedding, wedding_plan
from tests.published import published

SUNLIGHT = "the trade's own measure: digits 5 mm, key times 10 mm, on a phone 65 mm wide"


def picture(data: bytes) -> Image.Image:
    return Image.open(BytesIO(data))


def greys(data: bytes) -> np.ndarray:
    return np.asarray(picture(data).convert("L"))


def event_of(name: str) -> tuple[Plan, Cards]:
    return (wedding_plan(), wedding()) if name == "wedding" else (harvest_plan(), harvest())


def ink_tall(em: float, text: str = "18:30") -> int:
    """Return how tall a text's ink is, px."""
    board = Board(1200, 400)
    board.text(20, 20, text, em)
    rows = np.flatnonzero((greys(board.png()) < 128).any(axis=1))
    return int(rows[-1] - rows[0] + 1)


# ------------------------------------------------------------------ every picture


@pytest.mark.parametrize("name", ["wedding", "harvest"])
@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("kind", ["card", "timeline"])
def test_a_picture_is_portrait_grey_and_under_200_kb(name: str, lang: str, kind: str) -> None:
    plan, cards = event_of(name)
    data = plan_card(plan, cards, None, lang) if kind == "card" else timeline(plan, cards, lang)
    image = picture(data)
    assert image.format == "PNG"
    assert image.width < image.height
    assert len(data) < 200_000
    pixels = np.asarray(image.convert("RGB"))
    assert (pixels[..., 0] == pixels[..., 1]).all()
    assert (pixels[..., 0] == pixels[..., 2]).all()


@pytest.mark.parametrize("name", ["wedding", "harvest"])
def test_a_card_has_no_thin_greys(name: str) -> None:
    pixels = greys(plan_card(*event_of(name), None, "en"))
    between = ((pixels > 40) & (pixels < 215)).mean()
    assert between < 0.02  # only the rims of letters


def test_the_same_plan_is_the_same_bytes() -> None:
    plan, cards = event_of("wedding")
    assert timeline(plan, cards, "en") == timeline(plan, cards, "en")
    assert plan_card(plan, cards, None, "es") == plan_card(plan, cards, None, "es")


@pytest.mark.parametrize(
    "name",
    ["$\\frac{1}{0}$ 羊 \u202e 🔥\n2", "x" * 400, "many words " * 40, ""],
)
def test_any_name_can_be_drawn_as_it_is(name: str) -> None:
    plan, cards = event_of("wedding")
    strange = replace(
        cards,
        event=replace(cards.event, name=name),
        dishes=tuple(replace(d, name=name) for d in cards.dishes),
        crew=tuple(replace(p, name=name) for p in cards.crew),
    )
    assert picture(timeline(plan, strange, "en")).format == "PNG"
    assert picture(plan_card(plan, strange, None, "en")).format == "PNG"


def test_what_the_face_cannot_draw_is_a_question_mark() -> None:
    assert shown("Lucía 羊 ñ 46 °C") == "Lucía ? ñ 46 °C"


def test_nothing_heavy_is_loaded_before_a_picture_is_drawn() -> None:
    code = (
        "import sys, bot.pictures, bot.sheets\n"
        "heavy = ('matplotlib', 'fpdf', 'icalendar', 'PIL')\n"
        "print([m for m in heavy if m in sys.modules])"
    )
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


# ------------------------------------------------------------------ the card


@published(SUNLIGHT)
def test_key_times_are_ten_millimetres_tall() -> None:
    assert ink_tall(KEY) >= 10 * PX_PER_MM


@published(SUNLIGHT)
def test_every_other_time_is_five_millimetres_tall() -> None:
    assert ink_tall(TIME) >= 5 * PX_PER_MM


def test_words_are_at_least_two_and_a_half_millimetres_tall() -> None:
    assert ink_tall(SMALL, "H") >= 2.5 * PX_PER_MM  # common practice: three times what an eye needs


def heads_of(plan: Plan, cards: Cards, now: datetime | None) -> list[str]:
    def words(line: Line) -> str:
        return render(line, "en", cards.event.zone)

    return [
        f"{cards.event.local(a.at):%H:%M} {words(Line('{v}', {'v': a.verb}))} {joined(a.things)}"
        for a in upcoming(plan, cards, now)
    ]


def test_the_card_shows_the_next_five_actions() -> None:
    plan, cards = event_of("wedding")
    assert heads_of(plan, cards, at(cards, "12:46")) == [  # by hand, from the plan's table
        "13:10 PULL Lamb rump A",
        "13:12 SEAR Lamb rump A.1",
        "13:18 SEAR Lamb rump A.2",
        "13:24 PULL Lamb rump B",
        "13:25 PULL Lamb rump A.2",
    ]


def test_without_a_time_the_card_begins_on_the_day_itself() -> None:
    plan, cards = event_of("wedding")
    assert heads_of(plan, cards, None)[0] == "09:30 LIGHT smoker"


def test_batches_that_begin_together_are_one_action() -> None:
    plan, cards = event_of("harvest")
    first = upcoming(plan, cards, at(cards, "18:22"))[0]
    assert first.places == ("G1", "G2")
    assert first.who == ("Rafa", "Jo")
    assert joined(first.things) == "Pork collar b1.1+2"


def test_looks_and_flips_stay_off_the_card() -> None:
    plan, cards = event_of("wedding")
    kinds = {a.kind for a in actions(plan, cards)}
    assert kinds == {"start", "end"}


def test_after_the_last_action_the_card_says_so() -> None:
    plan, cards = event_of("wedding")
    late = at(cards, "23:00")
    assert upcoming(plan, cards, late) == ()
    assert picture(plan_card(plan, cards, late, "en")).height == 1920


def test_the_version_and_the_time_change_the_picture() -> None:
    plan, cards = event_of("wedding")
    now = at(cards, "12:46")
    card = plan_card(plan, cards, now, "en")
    assert plan_card(replace(plan, letter="B"), cards, now, "en") != card
    assert plan_card(plan, cards, now + timedelta(minutes=1), "en") != card


def test_a_long_name_is_cut_in_the_middle_and_keeps_the_load() -> None:
    board = Board(600, 100)
    lines = board.wrapped("SMOKE portobello mushroom caps with lentils L1", 66, 560, 2)
    assert len(lines) == 2
    assert lines[0].startswith("SMOKE")
    assert lines[1].endswith("… L1")


# ------------------------------------------------------------------ the timeline


def test_the_timeline_goes_from_first_fire_to_last_plates() -> None:
    plan, cards = event_of("wedding")
    assert window_of(plan, cards) == Window(at(cards, "09:30"), at(cards, "14:09"))  # by hand


def test_prep_days_have_no_bars() -> None:
    plan, cards = event_of("wedding")
    assert "tub1" not in {row.station for row in rows_of(plan, cards)}


def test_a_fire_that_burns_through_the_night_is_shown_from_its_lighting() -> None:
    plan, cards = event_of("wedding")
    load = plan.loads[0]
    night = replace(load.runs[0], start=at(cards, "22:00", -1))
    long = replace(load, runs=(night, *load.runs[1:]))
    light = replace(plan.tasks[0], start=at(cards, "21:25", -1), end=at(cards, "22:00", -1))
    plan = replace(plan, loads=(long, *plan.loads[1:]), tasks=(light,))
    assert window_of(plan, cards).start == at(cards, "22:00", -1)


def test_fires_come_first_and_every_station_once() -> None:
    plan, cards = event_of("harvest")
    stations = [row.station for row in rows_of(plan, cards)]
    assert stations == ["P1", "P2", "G1", "G2", "hot1", "bench", "lane-1a"]


def test_what_all_bars_of_a_fire_share_is_said_once() -> None:
    plan, cards = event_of("harvest")
    row = rows_of(plan, cards)[0]
    assert (row.temp_c, row.who) == (110.0, ("Teo",))
    assert all(bar.temp_c is None and not bar.who for bar in row.bars)


def test_a_load_without_a_name_of_its_own_is_called_by_its_dish() -> None:
    plan, cards = event_of("wedding")
    names = {bar.name for bar in rows_of(plan, cards)[0].bars}
    assert names == {"", "Celeriac steak L1", "A", "B"}


def test_in_brief_batches_in_one_go_are_one_bar() -> None:
    plan, cards = event_of("harvest")
    grill = next(row for row in rows_of(plan, cards, Detail.BRIEF) if row.station == "G1")
    bars = [(b.name, b.end - b.start) for b in grill.bars if b.load == "pork-collar/a1"]
    assert bars == [("a1", timedelta(minutes=9))]  # by hand: two batches of 4.5 min


def spans(marks: tuple[Mark, ...], ruler: Board) -> dict[int, list[tuple[float, float]]]:
    found: dict[int, list[tuple[float, float]]] = {}
    for m in marks:
        label = (m.at, m.at + ruler.wide(m.label, LABEL))
        if m.lane == m.beside:
            both = (min(m.left, label[0]), max(m.right, label[1]))
            found.setdefault(m.lane, []).append(both)
        else:
            found.setdefault(m.lane, []).append((m.left, m.right))
            found.setdefault(m.beside, []).append(label)
    return found


@given(
    rows=st.lists(
        st.tuples(st.integers(0, 300), st.integers(1, 200), st.text("abc ", max_size=60)),
        min_size=1,
        max_size=14,
    )
)
@settings(max_examples=25, deadline=None)
def test_no_bar_or_label_touches_another_or_leaves_the_picture(
    rows: list[tuple[int, int, str]],
) -> None:
    begin = at(wedding(), "09:00")
    window = Window(begin, begin + timedelta(minutes=500))
    ruler = Board(WIDTH, 100)
    bars = [
        Bar(begin + timedelta(minutes=s), begin + timedelta(minutes=s + n), "") for s, n, _ in rows
    ]
    labels = [(text,) for _, _, text in rows]
    marks = placed(bars, labels, Scale(window, begin + timedelta(minutes=400)), ruler)
    for lane in spans(marks, ruler).values():
        ordered = sorted(lane)
        assert all(a[1] < b[0] for a, b in pairwise(ordered))
        assert ordered[0][0] >= 0
        assert max(right for _, right in ordered) <= WIDTH
    assert len(marks) == len(rows)


def test_a_timeline_of_sixty_loads_stays_a_picture_a_phone_takes() -> None:
    plan, cards = event_of("harvest")
    many = []
    for n in range(12):
        for load in plan.loads:
            name = f"{load.name}{n}"
            load_id = f"{load.dish}/{name}"
            runs = tuple(
                replace(r, load=name, unit=f"{r.unit}{n}", station=f"{r.station}-{n}")
                for r in load.runs
            )
            many.append(replace(load, id=load_id, name=name, runs=runs))
    image = picture(timeline(replace(plan, loads=tuple(many)), cards, "en"))
    assert image.width + image.height <= 10_000
    assert image.height <= 20 * image.width


def test_spare_minutes_and_lateness_are_written_out() -> None:
    plan, cards = event_of("wedding")
    late = replace(plan.loads[1], slack_min=-9.0)
    plan = replace(plan, loads=(plan.loads[0], late, plan.loads[2]))
    scale = Scale(window_of(plan, cards), plan.plates_at)
    bands = bands_of(
        plan, cards, scale, Board(WIDTH, 100), lambda x: render(x, "en", cards.event.zone)
    )
    assert bands[-1].title == "READY, TO SPARE"
    assert {m.label for m in bands[-1].marks} == {  # by hand, from the plan's table
        "Celeriac steak L1 13:46 · +14 min",
        "A 13:59 · 9 min LATE",
        "B 13:59 · +1 min",
    }


def test_every_load_of_the_plan_is_on_its_station_with_its_times() -> None:
    plan, cards = event_of("wedding")
    scale = Scale(window_of(plan, cards), plan.plates_at)
    bands = bands_of(
        plan, cards, scale, Board(WIDTH, 100), lambda x: render(x, "en", cards.event.zone)
    )
    smoker = bands[0]
    assert smoker.title == "smoker · 115 °C · Bo"
    assert {m.label for m in smoker.marks} == {  # by hand, from the plan's table
        "LIGHT 09:30–10:05",
        "Celeriac steak L1 10:05–11:45",
        "A 12:08–13:10",
        "B 12:22–13:24",
    }
