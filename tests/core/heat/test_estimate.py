from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from core.errors import OutOfRangeError
from core.heat.estimate import DOUBT, ODD, Forecast, estimate
from core.heat.pit import Pit, back_up
from core.heat.plateau import cost_of_log, if_fire, if_wrapped, on_plateau
from core.heat.prior import Kind
from core.model import Piece, Place, Reading, Step
from tests.core.heat.cooks import (
    BUTT,
    BUTT_SMOKE,
    COLLAR,
    COLLAR_SMOKE,
    LAMB,
    LAMB_SMOKE,
    SMOKER,
    at,
    core,
    minutes,
)

ON = at(12, 8)
OUTAGE = ((at(12, 31), 115.0), (at(12, 43), 92.0), (at(12, 45), 92.0), (at(13, 0), 115.0))


def _lamb(*readings: Reading, now: int = 0, pit: Pit = SMOKER) -> Forecast:
    return estimate(LAMB_SMOKE, LAMB, pit, readings, ON, ON + timedelta(minutes=now))


def _said(made: Forecast) -> str:
    return "" if made.note is None else made.note.text


# ------------------------------------------------------------------ the wedding's lamb


def test_without_a_reading_the_plan_of_the_card_is_told() -> None:
    made = _lamb()
    assert minutes(ON, made.pull_at) == pytest.approx(62.0, abs=0.1)
    assert minutes(ON, made.check_at) == pytest.approx(15.0, abs=1.0)
    assert made.expect_c == pytest.approx(16.7, abs=0.4)


def test_a_reading_as_expected_leaves_the_plan() -> None:
    made = _lamb(core(27.9, at(12, 39)), now=31)
    assert minutes(ON, made.pull_at) == pytest.approx(62.0, abs=1.0)
    assert made.doubt == ""


def test_an_outage_costs_the_heat_it_kept_from_the_food_not_its_length() -> None:
    # 115 to 92 °C from 12:31, back at 13:00: about 4 min for rack A, not 14
    pit = replace(SMOKER, log=OUTAGE)
    assert cost_of_log(LAMB_SMOKE, LAMB, pit, ON, at(12, 46)) == pytest.approx(4.0, abs=2.0)
    made = estimate(LAMB_SMOKE, LAMB, pit, (), ON, at(12, 46))
    assert minutes(at(13, 14), made.pull_at) == pytest.approx(0.0, abs=2.0)


def test_an_outage_costs_the_later_rack_less() -> None:
    pit = replace(SMOKER, log=OUTAGE)
    later = cost_of_log(LAMB_SMOKE, LAMB, pit, at(12, 22), at(12, 46))
    assert later == pytest.approx(4.0, abs=2.0)


def test_a_reading_after_the_outage_is_on_the_curve() -> None:
    made = _lamb(core(38.0, at(13, 0)), now=52, pit=replace(SMOKER, log=OUTAGE))
    assert made.doubt == ""
    assert minutes(at(13, 14), made.pull_at) == pytest.approx(0.0, abs=3.0)
    assert minutes(at(13, 14), made.check_at) == pytest.approx(0.0, abs=2.0)


def test_ten_degrees_under_the_mid_check_is_pit_or_probe() -> None:
    made = _lamb(core(17.9, at(12, 39)), now=31)
    assert made.doubt == DOUBT
    assert "grate height" in _said(made)
    assert "grill" in _said(made)
    assert minutes(ON, made.pull_at) > 75


def test_ten_degrees_over_the_mid_check_is_a_probe_near_the_surface() -> None:
    made = _lamb(core(37.9, at(12, 39)), now=31)
    assert made.doubt == DOUBT
    assert "the lower counts" in _said(made)


def test_a_few_degrees_off_are_no_doubt() -> None:
    for off in (-3.0, 3.0):
        assert _lamb(core(27.9 + off, at(12, 39)), now=31).doubt == ""


def test_a_core_read_at_its_target_is_pulled_now() -> None:
    made = _lamb(core(27.9, at(12, 39)), core(46.0, at(13, 9)), now=61)
    assert made.pull_at == made.check_at == at(13, 9)
    assert made.peak_at is not None
    assert made.peak_at > at(13, 9)


# ------------------------------------------------------------------ two probes, one of them wrong


def test_of_two_probes_the_lower_counts_and_ice_decides() -> None:
    on = at(17, 10)
    pair = (core(49.0, at(17, 45), "leave-in"), core(43.0, at(17, 45), "instant"))
    made = estimate(COLLAR_SMOKE, COLLAR, Pit(Kind.SMOKER, 110.0), pair, on, at(17, 45))
    alone = estimate(COLLAR_SMOKE, COLLAR, Pit(Kind.SMOKER, 110.0), pair[1:], on, at(17, 45))
    assert made.doubt == DOUBT
    assert "Ice slush" in _said(made)
    assert made.pull_at == alone.pull_at
    # the card's day: it stays on until 17:55
    assert minutes(at(17, 55), made.pull_at) == pytest.approx(0.0, abs=3.0)


def test_a_load_moved_out_of_a_failed_pit_is_timed_by_the_heat_it_had() -> None:
    # on 18:02, the pit at about 90 from 18:09, moved to a good one at 18:24: core about 27,
    # off about 18:50
    pit = Pit(Kind.SMOKER, 110.0, ((at(18, 9), 110.0), (at(18, 10), 90.0), (at(18, 24), 90.0),
                                   (at(18, 25), 110.0)))  # fmt: skip
    made = estimate(COLLAR_SMOKE, COLLAR, pit, (core(27.0, at(18, 24)),), at(18, 2), at(18, 24))
    assert minutes(at(18, 50), made.pull_at) == pytest.approx(0.0, abs=3.0)


# ------------------------------------------------------------------ honesty


def test_one_early_reading_says_so_and_keeps_the_band_wide() -> None:
    early = _lamb(core(16.7, at(12, 23)), now=15)
    late = _lamb(core(16.7, at(12, 23)), core(36.6, at(12, 53)), now=45)
    assert early.pull_low is not None
    assert early.pull_high is not None
    assert late.pull_low is not None
    assert "second" in _said(early)
    assert minutes(early.pull_low, early.pull_high) > 8
    assert minutes(early.pull_low, early.pull_high) > 1.3 * minutes(late.pull_low, late.pull_high)


def test_a_forecast_is_never_in_the_past() -> None:
    for now in (5, 31, 62, 90):
        made = _lamb(core(30.0, ON + timedelta(minutes=now)), now=now)
        for when in (made.check_at, made.pull_low, made.pull_at, made.pull_high):
            assert when is None or when >= ON + timedelta(minutes=now)


def test_the_band_is_in_order_and_holds_the_likely_pull() -> None:
    made = _lamb(core(27.9, at(12, 39)), core(34.0, at(12, 50)), now=42)
    assert made.pull_low is not None
    assert made.pull_at is not None
    assert made.pull_high is not None
    assert made.pull_low < made.pull_at < made.pull_high


def test_the_carry_over_is_a_few_degrees_and_peaks_after_the_pull() -> None:
    made = _lamb(core(36.6, at(12, 53)), now=45)
    assert 0.5 < made.carry.low_k < made.carry.high_k < 6
    assert made.pull_at is not None
    assert made.peak_at is not None
    assert 4 < minutes(made.pull_at, made.peak_at) < 20


def test_wind_on_a_resting_tray_takes_carry_over_away_and_a_cover_keeps_it() -> None:
    still = _lamb(core(36.6, at(12, 53)), now=45)
    windy = _lamb(core(36.6, at(12, 53)), now=45, pit=replace(SMOKER, wind_kmh=30.0))
    covered = _lamb(core(36.6, at(12, 53)), now=45, pit=replace(SMOKER, covered=True))
    assert windy.carry_over_k < still.carry_over_k < covered.carry_over_k


# ------------------------------------------------------------------ bad input


def test_a_reading_from_the_future_is_told_and_the_last_estimate_kept() -> None:
    good = core(27.9, at(12, 39))
    kept = _lamb(good, now=40)
    made = _lamb(good, core(40.0, at(14, 0)), now=40)
    assert made.pull_at == kept.pull_at
    assert "future" in made.refused[0].text


def test_fahrenheit_is_asked_about_and_not_used() -> None:
    good = core(27.9, at(12, 39))
    made = _lamb(good, core(108.0, at(12, 53)), now=45)
    assert "°F" in made.refused[0].text
    assert made.pull_at == _lamb(good, now=45).pull_at


def test_a_reading_from_before_it_went_on_is_left_out() -> None:
    made = _lamb(core(4.0, at(11, 0)), now=20)
    assert made.readings == 0
    assert made.refused


def test_a_reading_that_is_no_number_is_left_out() -> None:
    assert _lamb(core(float("nan"), at(12, 39)), now=31).readings == 0


def test_a_reading_heard_twice_counts_once() -> None:
    once = _lamb(core(27.9, at(12, 39)), now=31)
    twice = _lamb(core(27.9, at(12, 39)), core(27.9, at(12, 39)), now=31)
    assert twice.readings == once.readings == 1
    assert twice.pull_at == once.pull_at


@pytest.mark.parametrize(("value", "word"), [(24.0, "fall"), (60.0, "fast")])
def test_a_core_that_falls_or_jumps_is_told_and_the_last_estimate_kept(
    value: float, word: str
) -> None:
    good = core(30.0, at(12, 39))
    made = _lamb(good, core(value, at(12, 47)), now=39)
    assert made.doubt == ODD
    assert word in _said(made)
    assert made.pull_at == _lamb(good, now=39).pull_at


def test_two_readings_that_agree_outrank_what_was_read_before_them() -> None:
    made = _lamb(core(40.0, at(12, 39)), core(31.0, at(12, 45)), core(32.5, at(12, 48)), now=40)
    assert made.doubt != ODD
    assert made.readings == 2


def test_a_reading_of_the_pit_is_not_taken_for_the_core() -> None:
    made = _lamb(Reading(110.0, Place.PIT, at(12, 39), "bo"), now=31)
    assert made.readings == 0
    assert not made.refused


def test_a_pit_colder_than_the_target_cannot_be_forecast() -> None:
    cold = replace(SMOKER, set_c=40.0, log=((at(12, 9), 40.0),))
    made = _lamb(core(20.0, at(12, 39)), now=31, pit=cold)
    assert made.pull_at is None
    assert made.pull_high is None
    assert made.check_at is not None


def test_a_target_above_the_pit_cannot_be_forecast() -> None:
    step = replace(LAMB_SMOKE, until_core_c=130.0, checks=(), ideal_min=None)
    made = estimate(step, LAMB, SMOKER, (core(27.9, at(12, 39)),), ON, at(12, 39))
    assert made.pull_at is None
    assert made.note is not None
    assert made.note.text.startswith("Can't be forecast")


def test_a_step_that_does_not_end_at_a_core_is_refused() -> None:
    with pytest.raises(OutOfRangeError):
        estimate(Step("rest", "rest"), LAMB, SMOKER, (), ON, ON)


@pytest.mark.parametrize("thickness", [None, 0.0, 200.0])
def test_a_thickness_that_cannot_be_is_refused(thickness: float | None) -> None:
    with pytest.raises(OutOfRangeError):
        estimate(LAMB_SMOKE, Piece(thickness_cm=thickness), SMOKER, (), ON, ON)


@pytest.mark.parametrize("values", [(5.0, 5.0, 5.0), (20.0, 45.0, 20.0), (0.0, 100.0), (-5.0,)])
def test_whatever_is_read_the_answer_is_finite(values: tuple[float, ...]) -> None:
    readings = [core(v, ON + timedelta(minutes=8 * (i + 1))) for i, v in enumerate(values)]
    made = _lamb(*readings, now=8 * len(values))
    assert made.check_at is not None
    for when in (made.check_at, made.pull_low, made.pull_at, made.pull_high):
        assert when is None or ON <= when < ON + timedelta(days=5)


# ------------------------------------------------------------------ low and slow


_BUTT_READ = ((120, 33.0), (240, 57.0), (330, 66.0), (390, 68.5), (450, 70.0), (510, 71.0))
_BUTT_ON, _BUTT_NOW = at(4), at(12, 30)


def _butt_readings() -> tuple[Reading, ...]:
    return tuple(core(v, _BUTT_ON + timedelta(minutes=m)) for m, v in _BUTT_READ)


def test_a_butt_on_the_plateau_has_a_window_of_hours() -> None:
    pit = Pit(Kind.SMOKER, 118.0)
    made = estimate(BUTT_SMOKE, BUTT, pit, _butt_readings(), _BUTT_ON, _BUTT_NOW)
    assert on_plateau(made, Kind.SMOKER)
    if made.pull_at is not None and made.pull_low is not None and made.pull_high is not None:
        assert minutes(made.pull_low, made.pull_high) > 90


def test_wrapping_on_the_plateau_saves_hours() -> None:
    # common practice: a wrapped shoulder is done one to several hours sooner
    readings, now = _butt_readings(), _BUTT_NOW
    future = if_wrapped(BUTT_SMOKE, BUTT, Pit(Kind.SMOKER, 118.0), readings, _BUTT_ON, now)
    assert future.changed.pull_at is not None
    assert future.saves_min is None or future.saves_min > 60


def test_a_hotter_pit_shortens_the_plateau() -> None:
    readings, now = _butt_readings(), _BUTT_NOW
    hotter = ((now + timedelta(minutes=1), 118.0), (now + timedelta(minutes=16), 135.0))
    future = if_fire(BUTT_SMOKE, BUTT, Pit(Kind.SMOKER, 118.0), readings, _BUTT_ON, now, hotter)
    assert future.changed.pull_at is not None
    assert future.saves_min is None or future.saves_min > 45


def test_a_lamb_at_38_is_on_no_plateau() -> None:
    assert not on_plateau(_lamb(core(36.6, at(12, 53)), now=45), Kind.SMOKER)


# ------------------------------------------------------------------ the fire


def test_a_pit_coming_up_is_back_by_the_line_of_its_readings() -> None:
    # 109 and rising 1.2 a minute is at 118 in seven and a half minutes; by hand
    log = ((at(18, 8, 13), 103.0), (at(18, 13, 13), 109.0))
    back = back_up(log, 118.0)
    assert back is not None
    assert back.at is not None
    assert back.per_min_k == pytest.approx(1.2)
    assert minutes(at(18, 13), back.at) == pytest.approx(7.5)


def test_a_pit_that_does_not_rise_has_no_time() -> None:
    back = back_up(((at(18, 0), 109.0), (at(18, 5), 109.0)), 118.0)
    assert back is not None
    assert back.at is None


def test_one_reading_of_a_pit_is_no_line() -> None:
    assert back_up(((at(18, 0), 109.0),), 118.0) is None


def test_a_lone_low_reading_did_not_come_about_over_hours() -> None:
    seconds, fire = replace(SMOKER, log=((at(13, 8), 92.0),)).fire(ON)
    assert fire == (115.0, 115.0, 92.0)
    assert seconds == (0.0, 3000.0, 3600.0)
