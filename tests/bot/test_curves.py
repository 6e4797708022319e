from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from io import BytesIO
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from matplotlib.image import imread

from bot.curves import Curve, core_curve
from core.heat.estimate import estimate
from core.heat.pit import Pit
from core.heat.prior import Kind
from core.model import Place, Reading, Step
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
