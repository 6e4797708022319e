"""Cooling: both stages of each rule book, asked in time, never closed by silence."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from core.model import Profile, Verdict
from core.safety.cooling import (
    Cooling,
    ask_moments,
    cooling_verdict,
    ice_kg,
    pans_for,
    predicted_c,
    stages,
)
from core.safety.degrees import Degrees, of_f
from tests.published import published

START = datetime(2026, 10, 16, 17, 25, tzinfo=UTC)


def at(minutes: float) -> datetime:
    return START + timedelta(minutes=minutes)


def cooling(*points: tuple[float, float], ambient: bool = False, said: bool = False) -> Cooling:
    """Return a pot with readings (minutes, °C)."""
    return Cooling(
        tuple((at(m), Degrees(c)) for m, c in points), started=START if said else None,
        ambient=ambient,
    )  # fmt: skip


@published("FDA Food Code 3-501.14(A)")
def test_two_hours_to_21_and_six_to_5_passes_at_the_limits() -> None:
    pot = cooling((0, 57), (120, 21), (360, 5))
    assert cooling_verdict(pot, Profile.US, at(400)).verdict is Verdict.OK


@published("FDA Food Code 3-501.14(A)(1)")
@pytest.mark.parametrize(("minutes", "c"), [(120, 22), (121, 21), (180, 21)])
def test_missing_the_first_stage_is_a_bin_or_one_reheat(minutes: float, c: float) -> None:
    found = cooling_verdict(cooling((0, 57), (minutes, c)), Profile.US, at(200))
    assert found.verdict is Verdict.BIN
    assert "reheat" in found.text.text
    assert found.deadline == at(120)


def test_the_second_time_there_is_no_reheat() -> None:
    pot = Cooling(((at(0), Degrees(57)), (at(120), Degrees(30))), reheated=True)
    assert "reheat" not in cooling_verdict(pot, Profile.US, at(130)).text.text


@published("FDA Food Code 3-501.14(A)(2)")
def test_missing_five_degrees_at_six_hours_is_a_bin_without_reheat() -> None:
    found = cooling_verdict(cooling((0, 57), (100, 21), (361, 6)), Profile.US, at(370))
    assert found.verdict is Verdict.BIN
    assert "reheat" not in found.text.text


@published("FDA Food Code 3-501.14(B)")
@pytest.mark.parametrize(("minutes", "verdict"), [(240, Verdict.OK), (270, Verdict.BIN)])
def test_food_from_ambient_has_four_hours(minutes: float, verdict: Verdict) -> None:
    pot = cooling((0, 20), (minutes, 5), ambient=True)
    assert cooling_verdict(pot, Profile.US, at(300)).verdict is verdict


@published("Food Standards Code 3.2.2 cl 7; Nunavut: the second stage runs from the first's end")
@pytest.mark.parametrize(
    ("book", "top", "one", "two"), [(Profile.AU, 60, 21, 5), (Profile.CA, 60, 20, 4)]
)
def test_a_second_stage_counts_from_when_the_first_was_seen(
    book: Profile, top: float, one: float, two: float
) -> None:
    early = cooling((0, top), (60, one), (301, two))
    assert cooling_verdict(early, book, at(310)).verdict is Verdict.BIN  # 241 min after the first
    good = cooling((0, top), (60, one), (300, two))
    assert cooling_verdict(good, book, at(310)).verdict is Verdict.OK


def test_a_limit_that_passed_unread_is_never_closed() -> None:
    found = cooling_verdict(cooling((0, 57), (50, 40)), Profile.US, at(121))
    assert found.verdict is Verdict.UNKNOWN
    assert "nobody" in found.text.text


def test_without_a_start_there_is_no_clock() -> None:
    found = cooling_verdict(cooling((0, 50), (60, 30)), Profile.US, at(60))
    assert found.verdict is Verdict.UNKNOWN


def test_the_clock_starts_at_the_last_reading_that_was_hot() -> None:
    pot = cooling((-40, 90), (0, 60), (20, 50))
    assert stages(pot, Profile.US)[0].start == at(0)


def test_a_pot_that_warms_again_before_the_limit_has_not_passed() -> None:
    pot = cooling((0, 57), (90, 20), (110, 28), (125, 24))
    assert cooling_verdict(pot, Profile.US, at(130)).verdict is Verdict.BIN


@published("Real Decreto 1086/2020 training notes: from memory")
def test_a_spanish_cooling_can_fail_but_not_pass() -> None:
    assert (
        cooling_verdict(cooling((0, 60), (110, 9)), Profile.ES, at(120)).verdict is Verdict.UNKNOWN
    )
    assert cooling_verdict(cooling((0, 60), (121, 12)), Profile.ES, at(130)).verdict is Verdict.BIN


@pytest.mark.parametrize("book", [Profile.UK, Profile.SCOTLAND, Profile.US_CONSUMER])
def test_as_quick_as_possible_is_no_number(book: Profile) -> None:
    pot = cooling((0, 63), (30, 20), (60, 4))
    assert cooling_verdict(pot, book, at(70)).verdict is Verdict.UNKNOWN


def test_in_fahrenheit_the_printed_fahrenheit_counts() -> None:
    pot = Cooling(((at(0), of_f(135)), (at(120), of_f(70)), (at(360), of_f(41))))
    assert cooling_verdict(pot, Profile.US, at(400)).verdict is Verdict.OK
    warm = Cooling(((at(0), of_f(135)), (at(120), of_f(71))))
    assert cooling_verdict(warm, Profile.US, at(121)).verdict is Verdict.BIN


# ------------------------------------------------------------------ asking


def test_it_asks_after_an_hour_and_before_the_limit_and_then_falls_silent() -> None:
    pot = cooling((0, 57), said=True)
    first = [m.at for m in ask_moments(pot, Profile.US, at(0))][:3]
    assert first == [at(60), at(110), at(120)]
    done = cooling(
        (0, 57), (110, 9), (215, 4), said=True
    )  # trade example: asked twice, then silent
    assert ask_moments(done, Profile.US, at(220)) == ()


def test_an_answer_moves_on_to_the_next_question() -> None:
    pot = cooling((0, 57), (60, 33), said=True)
    moments = ask_moments(pot, Profile.US, at(61))
    assert moments[0].at == at(110)


def test_silence_past_the_limit_gets_louder_every_ten_minutes() -> None:
    pot = cooling((0, 57), said=True)
    late = [m for m in ask_moments(pot, Profile.US, at(150)) if at(120) <= m.at <= at(150)]
    assert [m.at for m in late] == [at(120), at(150)]  # of those long past only the newest asks
    assert all(m.loud for m in late)


# ------------------------------------------------------------------ how it will go


def test_two_readings_warn_of_a_miss_before_it_happens() -> None:
    slow = cooling((0, 57), (60, 45), said=True)
    found = cooling_verdict(slow, Profile.US, at(61))
    assert found.verdict is Verdict.NOT_YET
    assert "At this rate" in found.text.text


# common practice: 4 cm on ice, stirred; a deep pan is the usual miss
@pytest.mark.parametrize(
    ("depth", "warned"), [(3.7, False), (6.0, False), (12.0, True), (30, True)]
)
def test_a_deep_pan_is_warned_of_before_anybody_can_see_it(depth: float, warned: bool) -> None:
    pot = replace(cooling((0, 57)), depth_cm=depth)
    found = cooling_verdict(pot, Profile.US, at(5))
    assert found.verdict is Verdict.NOT_YET
    assert ("deep likely misses" in found.text.text) is warned


def test_a_shallow_pan_clears_nothing_and_a_deep_one_does_not_undo_a_reading() -> None:
    shallow = replace(cooling((0, 57)), depth_cm=1.0)
    assert cooling_verdict(shallow, Profile.US, at(300)).verdict is not Verdict.OK
    deep = replace(cooling((0, 57), (110, 20), (350, 4)), depth_cm=30.0)
    assert cooling_verdict(deep, Profile.US, at(360)).verdict is Verdict.OK


def test_a_prediction_follows_newton_towards_ice() -> None:
    pot = cooling((0, 56), (60, 28))
    assert predicted_c(pot, at(120)) == pytest.approx(14.0)  # by hand: halves every hour


def test_one_reading_predicts_nothing() -> None:
    assert predicted_c(cooling((0, 57)), at(60)) is None


def test_twenty_kilos_go_in_three_pans_four_deep_with_thirty_of_ice() -> None:
    # common practice: 20 kg over 3 × 0.53 × 0.325 m is 3.9 cm
    assert pans_for(20.0) == (3, 3.9)
    assert ice_kg(20.0) == 30.0


def test_twenty_five_kilos_go_in_four() -> None:
    pans, depth = pans_for(25.0)
    assert pans == 4
    assert depth == pytest.approx(3.63, abs=0.05)  # by hand: 6.25 kg over 1722.5 cm²
