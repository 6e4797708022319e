"""Thermometers in doubt: dropped, failed in ice, disagreeing; what still counts.

Tolerance: FDA Food Code 2022 4-203.11, ±1 °C. What a doubt takes back: common practice.
"""

from __future__ import annotations

import pytest

from core.cook import Cook
from core.cook.boxes import box_out
from core.cook.safety.probes import is_doubtful, trusted
from core.facts import CheckIce, DoubtProbe, GiveReading
from core.model import Place, Reading, Verdict
from core.safety.clocks import Side
from tests.core.cook.safety.days import at, food, given, on_and_off, spoken, started, words
from tests.published import published


def cold(cook: Cook, clock: str, value: float, probe: str = "red", who: str = "carmen") -> Cook:
    return spoken(cook, who, clock, food("box2", value, probe, who))[0]


def test_a_dropped_probe_takes_back_its_readings_and_the_ok_that_rested_on_them() -> None:
    cook = cold(started(), "11:00", 4.0)
    cook, told = spoken(cook, "carmen", "11:30", DoubtProbe("red", "dropped"))
    assert trusted(cook) == ()
    assert "box2" in words(told.answer)
    again = [f for f in given(told) if f.about == "box2"]
    assert [f.verdict for f in again] == [Verdict.UNKNOWN]
    assert {p for n in told.notices for p in n.to} == {"ana"}


def test_a_bin_that_rested_on_it_is_not_taken_back() -> None:
    cook = cold(cold(started(), "09:30", 4.0), "12:00", 12.0)
    _, told = spoken(cook, "carmen", "12:05", DoubtProbe("red", "dropped"))
    assert [f.about for f in given(told)] == ["red"]


def test_the_box_s_clock_then_runs_from_the_last_reading_that_counts() -> None:
    cook = cold(started(), "10:00", 4.0, "blue")
    cook = cold(cook, "11:00", 4.0, "red")
    cook = spoken(cook, "bo", "11:30", DoubtProbe("red", "dropped"))[0]
    warm = Reading(9.0, Place.TUB, at("11:45"), "carmen", "box2", instrument="blue")
    assert box_out(cook, warm, Side.COLD, at("11:45")).since == at("10:00")


def test_another_probe_s_readings_still_count() -> None:
    cook = cold(started(), "10:00", 4.0, "blue")
    cook = spoken(cook, "carmen", "10:30", DoubtProbe("red", "dropped"))[0]
    assert len(trusted(cook)) == 1


def test_a_reading_without_a_probe_s_name_is_of_the_one_its_reader_dropped() -> None:
    cook = cold(cold(started(), "10:00", 4.0, ""), "10:05", 4.0, "", who="bo")
    cook = spoken(cook, "carmen", "10:30", DoubtProbe("red", "dropped"))[0]
    assert [r.who for r in trusted(cook)] == ["bo"]


def test_a_good_ice_check_gives_back_what_a_fall_had_put_in_doubt() -> None:
    cook = cold(started(), "10:00", 4.0)
    cook = spoken(cook, "carmen", "10:30", DoubtProbe("red", "dropped"))[0]
    cook, told = spoken(cook, "carmen", "10:35", CheckIce("red", 0.3))
    assert told.answer is not None
    assert told.answer.verdict is Verdict.OK
    assert len(trusted(cook)) == 1


def test_what_it_showed_before_it_failed_stays_lost_however_well_it_reads_later() -> None:
    cook = cold(started(), "10:00", 4.0)
    cook = spoken(cook, "carmen", "10:30", CheckIce("red", 2.5))[0]
    cook = spoken(cook, "carmen", "10:40", CheckIce("red", 0.1))[0]
    assert trusted(cook) == ()
    cook = cold(cook, "10:45", 4.0)
    assert [r.at for r in trusted(cook)] == [at("10:45")]


def test_readings_before_the_last_good_check_are_not_touched() -> None:
    cook = cold(started(), "10:00", 4.0)
    cook = spoken(cook, "carmen", "10:10", CheckIce("red", 0.0))[0]
    cook = cold(cook, "10:20", 4.0)
    cook = spoken(cook, "carmen", "10:30", CheckIce("red", -1.6))[0]
    assert [r.at for r in trusted(cook)] == [at("10:00")]


@published("FDA Food Code 2022, 4-203.11: food thermometers within 1 °C, or 2 °F where in °F only")
@pytest.mark.parametrize(
    ("shown", "fahrenheit", "good"),
    [(1.0, False, True), (1.1, False, False), (-1.0, False, True), (-1.1, False, False),
     (34.0, True, True), (34.1, True, False), (30.0, True, True), (29.9, True, False)],
)  # fmt: skip
def test_in_ice_it_passes_within_its_tolerance(shown: float, fahrenheit: bool, good: bool) -> None:
    cook, told = spoken(started(), "bo", "10:00", CheckIce("red", shown, fahrenheit))
    assert told.answer is not None
    assert (told.answer.verdict is Verdict.OK) is good
    assert ("red" in cook.safety.doubted) is not good


def test_a_reading_by_a_doubted_probe_is_kept_and_clears_nothing() -> None:
    cook = spoken(started(), "carmen", "10:00", CheckIce("red", 3.0))[0]
    cook, told = spoken(cook, "carmen", "10:10", food("box2", 4.0, "red"))
    assert told.answer is not None
    assert told.answer.verdict is Verdict.UNKNOWN
    assert [f.verdict for f in given(told)] == [Verdict.UNKNOWN]
    assert len(cook.readings) == 1
    assert is_doubtful(cook, cook.readings[0])


def test_two_probes_that_disagree_are_both_doubted_and_the_lower_counts_till_then() -> None:
    cook = on_and_off(started(), "A", "12:08", "13:10", 46.0)
    about = "lamb-rump/A/sear/1"
    one = GiveReading(Reading(58.0, Place.CORE, at("13:20"), "bo", about, instrument="red"))
    other = GiveReading(Reading(64.0, Place.CORE, at("13:21"), "bo", about, instrument="blue"))
    cook = spoken(cook, "bo", "13:20", one)[0]
    cook, told = spoken(cook, "bo", "13:21", other)
    assert told.answer is not None
    assert told.answer.verdict is Verdict.NOT_YET
    assert "Trust neither" in words(told.answer)
    assert set(cook.safety.doubted) == {"red", "blue"}


def test_two_probes_within_both_tolerances_agree() -> None:
    cook = cold(started(), "10:00", 4.0, "red")
    cook = cold(cook, "10:02", 5.0, "blue")
    assert cook.safety.doubted == {}
