from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from io import BytesIO
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from matplotlib.image import imread

from bot.curves import Curve, core_curve, curve_of, picture_name, words_of
from bot.media import Gallery
from core.cook import Cook
from core.facts import GiveReading, ReadingTaken
from core.heat.estimate import estimate
from core.heat.pit import Pit
from core.heat.prior import Kind
from core.model import Place, Reading, Step
from tests.core.cook_cases import at as case_at
from tests.core.cook_cases import said, started, wish
from tests.core.heat.cooks import BUTT, BUTT_SMOKE, LAMB, LAMB_SMOKE, SMOKER, at, core

ZONE = ZoneInfo("Europe/London")
ON = at(11, 8)
READ = (core(22.0, at(11, 30)), core(38.0, at(12, 0)))
OUTAGE = ((at(11, 31), 115.0), (at(11, 43), 92.0), (at(12, 0), 115.0))


def _curve(pit: Pit = SMOKER, readings: tuple[Reading, ...] = READ, now: int = 52) -> Curve:
    when = ON + timedelta(minutes=now)
    made = estimate(LAMB_SMOKE, LAMB, pit, readings, ON, when)
    return Curve("Lamb rump A", made, pit, readings, ON, when, ZONE)


def _pixels(png: bytes) -> np.ndarray:
    return np.asarray(imread(BytesIO(png), format="png"))[:, :, :3]


def test_the_picture_is_small() -> None:
    assert len(core_curve(_curve(replace(SMOKER, log=OUTAGE)))) < 200_000


def test_the_picture_is_black_on_white_and_nothing_is_told_by_colour() -> None:
    pixels = _pixels(core_curve(_curve(replace(SMOKER, log=OUTAGE))))
    assert np.ptp(pixels, axis=2).max() < 0.02
    grey = ((pixels > 0.25) & (pixels < 0.85)).all(axis=2).mean()
    assert grey < 0.04  # the soft edges of letters and hatching, no pale lines
    assert (pixels > 0.9).all(axis=2).mean() > 0.75


def test_readings_fire_and_target_change_the_picture() -> None:
    plain = core_curve(_curve(readings=()))
    assert core_curve(_curve()) != plain
    assert core_curve(_curve(replace(SMOKER, log=OUTAGE), ())) != plain


def test_the_same_cook_gives_the_same_picture() -> None:
    assert core_curve(_curve()) == core_curve(_curve())


def test_the_picture_ends_after_the_peak_and_within_the_day() -> None:
    curve = _curve()
    assert curve.made.peak_at is not None
    assert curve.made.peak_at < curve.until < ON + timedelta(hours=3)


@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_cook_that_cannot_be_forecast_has_a_picture_too(lang: str) -> None:
    cold = replace(SMOKER, set_c=40.0, log=((ON, 40.0),))
    curve = _curve(cold, (core(20.0, at(11, 39)),), now=31)
    assert curve.made.pull_at is None
    assert len(core_curve(curve, lang)) > 5_000


def test_a_shoulder_over_midnight_has_a_picture() -> None:
    readings = tuple(core(v, at(3) + timedelta(hours=h)) for h, v in ((2, 33.0), (4, 57.0)))
    pit = Pit(Kind.SMOKER, 118.0)
    made = estimate(BUTT_SMOKE, BUTT, pit, readings, at(3), at(7, 30))
    assert len(core_curve(Curve("Shoulder", made, pit, readings, at(3), at(7, 30), ZONE))) < 200_000


def test_a_sear_fire_does_not_flatten_the_core() -> None:
    step = Step("grill", "grill", temp_c=290.0, until_core_c=60.0, turns_min=(2.5, 5.0, 7.5))
    pit, when = Pit(Kind.DIRECT, 290.0), ON + timedelta(minutes=4)
    made = estimate(step, LAMB, pit, (core(12.0, when),), ON, when)
    picture = core_curve(Curve("Grill", made, pit, (), ON, when, ZONE))
    assert (_pixels(picture)[200:500, 100:700] < 0.2).mean() > 0.01  # the core is in the middle


def test_readings_of_the_pit_are_not_drawn_as_cores() -> None:
    pit_reading = Reading(110.0, Place.PIT, at(11, 40), "bo")
    with_pit = core_curve(_curve(readings=(*READ, pit_reading)))
    assert with_pit == core_curve(_curve())


# ------------------------------------------------------------------ the picture of a reading


def _cook(*reads: tuple[str, float]) -> Cook:
    cook = said(started(), "A", "on", "12:08")
    for clock, value in reads:
        reading = Reading(value, Place.CORE, case_at(clock), "bo", "A")
        cook = wish(cook, GiveReading(reading), "bo", clock)[0]
    return cook


def _given(value: float, clock: str, about: str = "lamb-rump/A/smoke") -> ReadingTaken:
    return ReadingTaken(Reading(value, Place.CORE, case_at(clock), "bo", about))


def test_the_second_reading_of_a_load_comes_with_its_picture() -> None:
    assert picture_name(_cook(), [_given(28.0, "12:39")]) is None
    cook = _cook(("12:39", 28.0))
    assert picture_name(cook, [_given(37.0, "12:53")]) == f"core-{cook.seq + 1}.png"


def test_a_reading_of_something_else_has_no_picture() -> None:
    cook = _cook(("12:39", 28.0))
    fire = ReadingTaken(Reading(110.0, Place.PIT, case_at("12:53"), "bo", "smoker"))
    assert picture_name(cook, [fire]) is None
    assert picture_name(cook, [_given(37.0, "12:53", "lamb-rump/B/smoke")]) is None


def test_the_picture_shows_the_log_as_it_stood_at_its_reading() -> None:
    first = _cook(("12:39", 28.0), ("12:53", 36.6))
    seq = max(e.seq for e in first.entries if isinstance(e.fact, ReadingTaken))
    reading = Reading(44.0, Place.CORE, case_at("13:05"), "bo", "A")
    later = wish(first, GiveReading(reading), "bo", "13:05")[0]
    then, now = curve_of(first, seq), curve_of(later, seq)
    assert then is not None
    assert now is not None
    assert len(now.readings) == 2
    assert core_curve(then) == core_curve(now)


def test_an_entry_that_is_no_reading_has_no_picture() -> None:
    assert curve_of(_cook(("12:39", 28.0)), 1) is None
    assert curve_of(_cook(), 10_000) is None


def test_who_cannot_see_it_is_told_what_it_says_first() -> None:
    cook = _cook(("12:39", 28.0), ("12:53", 36.6))
    seq = max(e.seq for e in cook.entries if isinstance(e.fact, ReadingTaken))
    curve = curve_of(cook, seq)
    assert curve is not None
    assert words_of(curve).startswith("Lamb rump A. Pull 46 °C")
    assert words_of(curve, "es").startswith("Lamb rump A. Saca 46 °C")


async def test_the_gallery_draws_it_by_its_name() -> None:
    cook = _cook(("12:39", 28.0), ("12:53", 36.6))
    seq = max(e.seq for e in cook.entries if isinstance(e.fact, ReadingTaken))

    async def read(cook_id: str) -> Cook:
        return cook

    medium = await Gallery(read).medium(f"golden-wedding-1/core-{seq}.png")
    assert medium is not None
    assert (medium.kind, medium.name) == ("image/png", f"core-{seq}.png")
    assert medium.content.startswith(b"\x89PNG")
    assert len(medium.content) < 200_000
    assert "Lamb rump A" in medium.alt
    assert await Gallery(read).medium("golden-wedding-1/core-1.png") is None


def test_a_window_of_hours_is_no_likely_minute() -> None:
    read = ((120, 33.0), (240, 57.0), (330, 66.0), (390, 68.5), (450, 70.0))
    on, now = at(4), at(11, 30)
    cores = tuple(core(v, on + timedelta(minutes=m)) for m, v in read)
    pit = Pit(Kind.SMOKER, 118.0)
    made = estimate(BUTT_SMOKE, BUTT, pit, cores, on, now)
    words = words_of(Curve("Shoulder A", made, pit, cores, on, now, ZONE))
    assert " to " in words or "no end known" in words or "can't be forecast" in words
