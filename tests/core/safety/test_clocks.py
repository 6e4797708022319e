"""Clocks run from the last good reading, add up, and end at each rule book's own limit."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from core.model import Clock, HouseLimits, Place, Profile, Verdict
from core.safety.clocks import Out, Side, out_verdict
from core.safety.degrees import Degrees, of_f
from core.safety.holding import found_at, time_label, use_by_verdict
from tests.published import published

NOW = datetime(2026, 6, 13, 12, 55, tzinfo=UTC)
GOOD = datetime(2026, 6, 13, 12, 40, tzinfo=UTC)


def out(minutes: float, side: Side = Side.COLD, **more: object) -> Out:
    """Return food out so long."""
    return Out(side, NOW - timedelta(minutes=minutes), NOW, **more)  # type: ignore[arg-type]


@published("FSIS: 2 h, 1 h above 90 °F")
@pytest.mark.parametrize(
    ("minutes", "air", "verdict"),
    [
        (119, of_f(85), Verdict.OK),
        (120, of_f(85), Verdict.BIN),
        (59, of_f(91), Verdict.OK),
        (60, of_f(91), Verdict.BIN),
        (61, of_f(95), Verdict.BIN),
        (90, of_f(90), Verdict.OK),  # above 90 °F, not at it
    ],
)
def test_the_consumer_outdoor_rule(minutes: float, air: Degrees, verdict: Verdict) -> None:
    assert out_verdict(out(minutes, air=air), Profile.US_CONSUMER).verdict is verdict


@published("FDA Food Code 3-501.19(B): four hours with a written procedure, marked")
def test_four_hours_only_with_the_procedure() -> None:
    assert out_verdict(out(239, procedure=True), Profile.US).verdict is Verdict.OK
    assert out_verdict(out(240, procedure=True), Profile.US).verdict is Verdict.BIN
    assert out_verdict(out(180, air=Degrees(20)), Profile.US).verdict is Verdict.BIN


@published("FDA Food Code 3-501.19(C): six hours, never over 70 °F")
@pytest.mark.parametrize(
    ("minutes", "warmest", "verdict"),
    [
        (359, of_f(70), Verdict.OK),
        (360, of_f(70), Verdict.BIN),
        (180, of_f(71), Verdict.BIN),
        (180, None, Verdict.UNKNOWN),
    ],
)
def test_six_hours_only_while_the_warmest_part_stays_under_70_f(
    minutes: float, warmest: Degrees | None, verdict: Verdict
) -> None:
    food = out(minutes, procedure=True, six_hours=True, warmest=warmest)
    assert out_verdict(food, Profile.US).verdict is verdict


@published("FSANZ 2-hour/4-hour rule")
def test_two_and_four_hours_add_up_in_australia() -> None:
    mild = Degrees(20.0)
    fridge = out_verdict(out(90, air=mild), Profile.AU)
    assert fridge.verdict is Verdict.OK
    assert "back to" in fridge.text.text
    use = out_verdict(out(60, air=mild, before_min=120), Profile.AU)
    assert use.verdict is Verdict.OK
    assert "not back to the fridge" in use.text.text
    assert out_verdict(out(60, air=mild, before_min=180), Profile.AU).verdict is Verdict.BIN


@published("England Sch 4: one period under 2 h below 63 °C")
def test_britain_allows_hot_food_one_period_only() -> None:
    assert out_verdict(out(119, Side.HOT), Profile.UK).verdict is Verdict.OK
    assert out_verdict(out(120, Side.HOT), Profile.UK).verdict is Verdict.BIN
    again = out(10, Side.HOT, before_min=10, periods=1)
    assert out_verdict(again, Profile.UK).verdict is Verdict.BIN


@published("England Sch 4, cold period: from memory, so it may fail and never clear")
def test_the_british_cold_period_never_clears() -> None:
    found = out_verdict(out(30, air=Degrees(20)), Profile.UK)
    assert found.verdict is Verdict.UNKNOWN
    assert found.deadline == NOW + timedelta(minutes=90)  # by hand: the house's 2 h


@pytest.mark.parametrize("book", [None, *Profile])
def test_mayonnaise_three_hours_out_at_33_is_binned_everywhere(book: Profile | None) -> None:
    # common practice: 1 h at 32 °C and more, whatever the book
    assert out_verdict(out(180, air=Degrees(33.0)), book).verdict is Verdict.BIN


def test_not_knowing_the_air_clears_nothing_past_the_hot_weather_hour() -> None:
    assert out_verdict(out(90), Profile.AU).verdict is Verdict.UNKNOWN
    assert out_verdict(out(59), Profile.AU).verdict is Verdict.OK


def test_without_a_last_good_reading_the_time_is_unknown() -> None:
    for book in (None, *Profile):
        found = out_verdict(Out(Side.COLD, None, NOW), book)
        assert found.verdict is Verdict.UNKNOWN


def test_a_clock_that_jumped_back_is_unknown() -> None:
    later = Out(Side.COLD, NOW + timedelta(minutes=5), NOW)
    assert out_verdict(later, Profile.AU).verdict is Verdict.UNKNOWN


def test_the_house_may_shorten_and_never_lengthen() -> None:
    short, long = HouseLimits(table_max_min=60), HouseLimits(table_max_min=600)
    food = out(70, procedure=True)
    assert out_verdict(food, Profile.US, short).verdict is Verdict.BIN
    assert out_verdict(out(241, procedure=True), Profile.US, long).verdict is Verdict.BIN
    running = out_verdict(out(30, procedure=True), Profile.US, short)
    assert running.deadline == NOW + timedelta(minutes=30)
    assert running.verdict is Verdict.OK
    assert running.profile is Profile.US


# ------------------------------------------------------------------ found at


def test_a_cooler_at_7_is_asked_about_before_it_is_judged() -> None:
    found = found_at(Degrees(7.0), None, Out(Side.COLD, GOOD, NOW), Profile.US)
    assert found.verdict is Verdict.UNKNOWN
    assert "air or food" in found.text.text


def test_food_at_7_runs_from_the_last_good_log_not_from_now() -> None:
    # trade example: last good 12:40, noticed 12:55, use or bin by 14:40
    found = found_at(Degrees(7.0), Place.TUB, Out(Side.COLD, GOOD, NOW), Profile.US)
    assert found.deadline == datetime(2026, 6, 13, 14, 40, tzinfo=UTC)


def test_food_at_7_without_a_log_is_unknown_in_every_book_that_limits_it() -> None:
    for book in set(Profile) - {Profile.UK}:
        found = found_at(Degrees(7.0), Place.TUB, Out(Side.COLD, None, NOW), book)
        assert found.verdict is Verdict.UNKNOWN


def test_air_is_no_word_on_the_food() -> None:
    found = found_at(Degrees(3.0), Place.AIR, Out(Side.COLD, None, NOW), Profile.US)
    assert found.verdict is Verdict.UNKNOWN


COLD = {
    Profile.US: 5.0,
    Profile.US_CONSUMER: 4.4,
    Profile.UK: 8.0,
    Profile.ES: 4.0,
    Profile.AU: 5.0,
    Profile.CA: 4.0,
}
HOT = {
    Profile.US: 57.0,
    Profile.US_CONSUMER: 60.0,
    Profile.UK: 63.0,
    Profile.SCOTLAND: 63.0,
    Profile.ES: 63.0,
    Profile.AU: 60.0,
    Profile.CA: 60.0,
}


@published("cold limits of the rule books, region table")
@pytest.mark.parametrize(("book", "limit"), COLD.items())
def test_cold_food_passes_at_its_limit_and_not_above(book: Profile, limit: float) -> None:
    def at(c: float) -> Verdict | None:
        return found_at(Degrees(c), Place.CORE, Out(Side.COLD, None, NOW), book).verdict

    assert at(limit) is Verdict.OK
    assert at(limit + 0.1) is Verdict.UNKNOWN


@published("hot limits of the rule books, region table")
@pytest.mark.parametrize(("book", "limit"), HOT.items())
def test_hot_food_passes_at_its_limit_and_not_below(book: Profile, limit: float) -> None:
    def at(c: float) -> Verdict | None:
        return found_at(Degrees(c), Place.CORE, Out(Side.HOT, None, NOW), book).verdict

    assert at(limit) is Verdict.OK
    assert at(limit - 0.1) is Verdict.UNKNOWN


@published("FDA Food Code 3-501.16(A)(1): roasts at 130 °F")
def test_a_roast_may_be_held_cooler_in_one_book_only() -> None:
    out_now = Out(Side.HOT, None, NOW)
    roast = found_at(of_f(130), Place.CORE, out_now, Profile.US, roast=True)
    assert roast.verdict is Verdict.OK
    assert (
        found_at(of_f(130), Place.CORE, out_now, Profile.UK, roast=True).verdict is not Verdict.OK
    )


@published("MPI: from memory")
def test_new_zealand_from_memory_never_clears() -> None:
    found = found_at(Degrees(3.0), Place.CORE, Out(Side.COLD, None, NOW), Profile.NZ)
    assert found.verdict is Verdict.UNKNOWN


@published("RD 1086/2020: 8 °C under 24 h")
def test_spain_lets_food_of_the_day_be_at_8() -> None:
    cold = Out(Side.COLD, None, NOW)
    assert (
        found_at(Degrees(8.0), Place.CORE, cold, Profile.ES, under_24h=True).verdict is Verdict.OK
    )
    assert found_at(Degrees(8.0), Place.CORE, cold, Profile.ES).verdict is Verdict.UNKNOWN


def test_a_stricter_house_counts_and_a_looser_one_does_not() -> None:
    strict, loose = HouseLimits(cold_max_c=5.0), HouseLimits(cold_max_c=12.0)
    cold = Out(Side.COLD, GOOD, NOW)
    assert found_at(Degrees(7.0), Place.TUB, cold, Profile.UK, strict).verdict is not Verdict.OK
    assert found_at(Degrees(9.0), Place.TUB, cold, Profile.UK, loose).verdict is not Verdict.OK


# ------------------------------------------------------------------ dates


@published("FDA Food Code 3-501.17: day of making is day 1, use by day 7")
@pytest.mark.parametrize(("ago", "verdict"), [(0, Verdict.OK), (6, Verdict.OK), (7, Verdict.BIN)])
def test_seven_days_the_first_one_counted(ago: int, verdict: Verdict) -> None:
    assert use_by_verdict(ago, Degrees(4.0), Profile.US).verdict is verdict


def test_days_in_a_warm_fridge_count_for_nothing() -> None:
    assert use_by_verdict(2, Degrees(6.0), Profile.US).verdict is Verdict.UNKNOWN
    assert use_by_verdict(2, None, Profile.US).verdict is Verdict.UNKNOWN


def test_a_label_bears_both_times() -> None:
    line = time_label(NOW, 240)
    assert line.fields["bin"] == Clock(NOW + timedelta(hours=4))
