"""Two fires, reheating, deliveries, leftovers, marinades, thawing, garlic, acid, probes, crew."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from core.errors import OutOfRangeError
from core.model import Finding, HouseLimits, Place, Profile, Reading, Role, Verdict, say
from core.safety.clocks import Side
from core.safety.crew import back_on, crew_heat_line, heat_index_c, sick_findings
from core.safety.degrees import Degrees, core_reading, of_f
from core.safety.food import Food, Kind, food_named
from core.safety.goods import Delivery, Leftover, delivery_verdict, leftover_verdict
from core.safety.kitchen import drip_finding, garlic_finding
from core.safety.lifting import Lift, may_be_lifted, refusal, with_lifters
from core.safety.prep import Marinade, Thaw, marinade_verdict, thaw_verdict
from core.safety.probes import (
    believed,
    disagreement,
    doubts,
    dropped,
    ice_check,
    ruling,
    same_moment,
)
from core.safety.reheat import Reheat, reheat_verdict
from core.safety.site import Near, clearance_verdict, co_verdict, emergency_card
from core.safety.stages import Gap, TwoGoes, gap_verdict, two_goes_verdict
from core.safety.tcs import control_verdict
from tests.published import published

NOW = datetime(2026, 6, 13, 14, tzinfo=UTC)
BOOKS = (None, *Profile)


def ago(minutes: float) -> datetime:
    return NOW - timedelta(minutes=minutes)


# ------------------------------------------------------------------ two fires


@pytest.mark.parametrize("name", ["chicken thigh", "pork chop", "beef burger", ""])
def test_parked_meat_is_warned_of_at_8_and_stopped_at_10_minutes(name: str) -> None:
    food = food_named(name) if name else None  # common practice: the two-stage guard
    assert gap_verdict(Gap(ago(7.9)), food, NOW) is None
    warned = gap_verdict(Gap(ago(8)), food, NOW)
    stopped = gap_verdict(Gap(ago(10)), food, NOW)
    assert warned is not None
    assert warned.verdict is Verdict.NOT_YET
    assert stopped is not None
    assert stopped.verdict is Verdict.STOP


def test_whole_lamb_is_warned_of_only() -> None:
    found = gap_verdict(Gap(ago(20)), food_named("whole lamb rump"), NOW)
    assert found is not None
    assert found.verdict is Verdict.NOT_YET


@published("FDA Food Code 3-401.14")
def test_two_goes_need_all_of_their_conditions() -> None:
    good = TwoGoes(60, chilled=True, procedure=True)
    assert two_goes_verdict(good, Profile.US).verdict is Verdict.OK
    for short in (
        TwoGoes(61, chilled=True, procedure=True),
        TwoGoes(60, chilled=False, procedure=True),
        TwoGoes(60, chilled=True, procedure=None),
        TwoGoes(None, chilled=True, procedure=True),
        TwoGoes(),
    ):
        assert two_goes_verdict(short, Profile.US).verdict is not Verdict.OK
    for book in set(BOOKS) - {Profile.US}:
        assert two_goes_verdict(good, book).verdict is not Verdict.OK


# ------------------------------------------------------------------ reheating


@published("FDA Food Code 3-403.11; Scotland Sch 4; Standard 3.2.2; Durham Region")
@pytest.mark.parametrize(
    ("book", "core", "hold", "took", "verdict"),
    [
        (Profile.US, Degrees(74), 15, 120, Verdict.OK),
        (Profile.US, of_f(164), 15, 90, Verdict.NOT_YET),
        (Profile.US, Degrees(74), 14, 90, Verdict.NOT_YET),
        (Profile.US, Degrees(74), 15, 121, Verdict.BIN),
        (Profile.US, Degrees(74), 15, None, Verdict.UNKNOWN),
        (Profile.US_CONSUMER, of_f(165), 0, None, Verdict.OK),
        (Profile.SCOTLAND, Degrees(82), 0, None, Verdict.OK),
        (Profile.SCOTLAND, Degrees(81.9), 0, None, Verdict.NOT_YET),
        (Profile.AU, Degrees(60), 0, 120, Verdict.OK),
        (Profile.CA, Degrees(74), 15, 120, Verdict.OK),
        (Profile.UK, Degrees(95), 300, 10, Verdict.UNKNOWN),  # from memory
        (Profile.UK, Degrees(69), 300, 10, Verdict.NOT_YET),
        (Profile.NZ, Degrees(95), 300, 10, Verdict.UNKNOWN),  # no row
    ],
)
def test_reheating(
    book: Profile, core: Degrees, hold: float, took: float | None, verdict: Verdict
) -> None:
    assert reheat_verdict(Reheat(core, hold, took), book).verdict is verdict


def test_nothing_is_reheated_twice() -> None:
    for book in BOOKS:
        twice = Reheat(Degrees(90), 600, 10, times=2)
        assert reheat_verdict(twice, book).verdict is Verdict.BIN


@published("FDA Food Code 3-403.11(B),(C)")
def test_microwave_and_packed_food_have_their_own_rows() -> None:
    still = Reheat(Degrees(74), 119, 30, way="microwave")
    assert reheat_verdict(still, Profile.US).verdict is Verdict.NOT_YET
    packed = Reheat(Degrees(57), 0, 30, way="commercial")
    assert reheat_verdict(packed, Profile.US).verdict is Verdict.OK


# ------------------------------------------------------------------ goods


@pytest.mark.parametrize("book", BOOKS)
def test_chicken_at_8_is_refused_everywhere(book: Profile | None) -> None:
    found = delivery_verdict(Delivery(Degrees(8.0), food_named("chicken")), book)
    assert found.verdict is Verdict.BIN  # common practice: the house refuses over 5 °C


@published("Regulation (EC) 853/2004: poultry 4 °C, mince 2 °C")
def test_european_limits_for_poultry_and_mince() -> None:
    poultry = delivery_verdict(Delivery(Degrees(4.5), food_named("chicken")), Profile.ES)
    mince = delivery_verdict(Delivery(Degrees(2.5), food_named("minced beef")), Profile.ES)
    assert poultry.verdict is mince.verdict is Verdict.BIN


def test_an_outer_face_is_probed_again_before_it_is_refused() -> None:
    face = Delivery(Degrees(6.8), food_named("pork collar"), outside=True)  # trade example
    assert delivery_verdict(face, Profile.US).verdict is Verdict.UNKNOWN
    inner = Delivery(Degrees(4.1), food_named("pork collar"))
    assert delivery_verdict(inner, Profile.US).verdict is Verdict.OK


def test_a_stricter_house_refuses_sooner() -> None:
    cool = Delivery(Degrees(4.0))
    assert delivery_verdict(cool, Profile.US, HouseLimits(cold_max_c=3.0)).verdict is Verdict.BIN


@pytest.mark.parametrize("book", BOOKS)
def test_what_was_on_the_line_never_goes_home(book: Profile | None) -> None:
    for unknown in (True, None):
        assert leftover_verdict(Leftover(unknown, Degrees(3)), book).verdict is Verdict.BIN
    assert leftover_verdict(Leftover(on_line=False), book).verdict is not Verdict.OK


def test_an_unserved_box_that_was_cold_may() -> None:
    assert leftover_verdict(Leftover(False, Degrees(4.0)), Profile.US).verdict is Verdict.OK
    assert leftover_verdict(Leftover(False, Degrees(6.0)), Profile.US).verdict is Verdict.BIN
    hot = Leftover(False, Degrees(62.0), hot=True)
    assert leftover_verdict(hot, Profile.US).verdict is Verdict.BIN  # the house keeps 63


# ------------------------------------------------------------------ marinade, garlic, thawing


@published("foodsafety.gov: used marinade only after boiling; poultry 2 days, red meat 5")
def test_marinades() -> None:
    assert marinade_verdict(Marinade(reused=True), None).verdict is Verdict.NOT_YET
    assert marinade_verdict(Marinade(reused=True, boiled=True), None).verdict is Verdict.OK
    cold = Degrees(4.0)
    for poultry, days, verdict in ((True, 2, Verdict.OK), (True, 3, Verdict.BIN),
                                   (False, 5, Verdict.OK), (False, 6, Verdict.BIN)):  # fmt: skip
        lying = Marinade(poultry=poultry, days=days, kept=cold)
        assert marinade_verdict(lying, Profile.US).verdict is verdict
    assert marinade_verdict(Marinade(days=1), Profile.US).verdict is Verdict.UNKNOWN


@published("University of Idaho: 4 days refrigerated; never at room temperature")
def test_garlic_in_oil() -> None:
    assert garlic_finding(days=0.2, out=True, cold=False).verdict is Verdict.BIN
    assert garlic_finding(days=5, out=False, cold=True).verdict is Verdict.BIN
    assert garlic_finding(days=1, out=False, cold=True).verdict is Verdict.BIN  # house: same day
    assert garlic_finding(days=0.2, out=False, cold=True).verdict is Verdict.OK
    assert garlic_finding(days=None, out=False, cold=True).verdict is Verdict.UNKNOWN
    assert garlic_finding(days=0.2, out=False, cold=False).verdict is Verdict.UNKNOWN


def test_a_drip_is_a_bin() -> None:
    assert drip_finding().verdict is Verdict.BIN


@published("FDA Food Code 3-501.13")
def test_thawing() -> None:
    for book in BOOKS:
        assert thaw_verdict(Thaw("table"), book).verdict is Verdict.STOP
    water = Thaw("water", water=of_f(70), raw_above_min=240)
    assert thaw_verdict(water, Profile.US).verdict is Verdict.OK
    assert thaw_verdict(Thaw("water", water=of_f(71)), Profile.US).verdict is Verdict.STOP
    long = Thaw("water", water=of_f(70), raw_above_min=241)
    assert thaw_verdict(long, Profile.US).verdict is Verdict.BIN
    assert thaw_verdict(Thaw("fridge", Degrees(5)), Profile.US).verdict is Verdict.OK
    assert thaw_verdict(Thaw("fridge"), Profile.US).verdict is Verdict.UNKNOWN


# ------------------------------------------------------------------ pH and water

TABLE_B = {  # aw -> results at pH 4.1, 4.4, 4.8, 5.5
    0.87: ("no", "no", "no", "no"),
    0.89: ("no", "no", "no", "PA"),
    0.91: ("no", "no", "PA", "PA"),
    0.95: ("no", "PA", "PA", "PA"),
}


@published("FDA Food Code 1-201.10, Table B")
@pytest.mark.parametrize(("aw", "cells"), TABLE_B.items())
def test_table_b_cell_by_cell(aw: float, cells: tuple[str, ...]) -> None:
    for ph, cell in zip((4.1, 4.4, 4.8, 5.5), cells, strict=True):
        wanted = Verdict.OK if cell == "no" else Verdict.NOT_CONFIRMED
        assert control_verdict(ph, aw).verdict is wanted


@published("FDA Food Code 1-201.10, Table A")
@pytest.mark.parametrize(
    ("ph", "aw", "cell"),
    [(7.0, 0.92, "no"), (5.6, 0.95, "no"), (5.7, 0.95, "PA"), (4.6, 0.99, "no"), (4.7, 0.99, "PA")],
)
def test_table_a(ph: float, aw: float, cell: str) -> None:
    wanted = Verdict.OK if cell == "no" else Verdict.NOT_CONFIRMED
    assert control_verdict(ph, aw, treated_and_packed=True).verdict is wanted


@published("FDA Food Code 1-201.10, Table B, on the edges: < 4.2, 4.2-4.6, > 4.6")
def test_the_edges_of_table_b() -> None:
    assert control_verdict(4.19, 1.0).verdict is Verdict.OK
    assert control_verdict(4.2, 1.0).verdict is Verdict.NOT_CONFIRMED
    assert control_verdict(4.6, 0.92).verdict is Verdict.OK
    assert control_verdict(4.61, 0.92).verdict is Verdict.NOT_CONFIRMED
    assert control_verdict(4.4, 0.921).verdict is Verdict.NOT_CONFIRMED


def test_not_knowing_ph_or_water_needs_control() -> None:
    assert control_verdict(None, None).verdict is Verdict.NOT_CONFIRMED
    assert control_verdict(4.4, None).verdict is Verdict.NOT_CONFIRMED
    assert control_verdict(None, 0.95).verdict is Verdict.NOT_CONFIRMED
    with pytest.raises(OutOfRangeError):
        control_verdict(15.0, 0.9)


# ------------------------------------------------------------------ thermometers


@published("FDA Food Code 4-203.11: ±1 °C, ±2 °F")
@pytest.mark.parametrize(
    ("read", "good"),
    [(Degrees(1.0), True), (Degrees(-1.0), True), (Degrees(1.1), False), (of_f(34), True),
     (of_f(34.1), False)],
)  # fmt: skip
def test_the_ice_check(read: Degrees, good: bool) -> None:
    assert (ice_check(read).verdict is Verdict.OK) is good


def test_the_lower_counts_for_cooking_and_the_higher_for_cold() -> None:
    reads = [Degrees(58.0), Degrees(64.0)]
    assert ruling(reads, Side.HOT).c == 58.0
    assert ruling(reads, Side.COLD).c == 64.0
    assert disagreement(reads, Side.HOT) is not None
    assert disagreement([Degrees(62.0), Degrees(64.0)], Side.HOT) is None


def reading(c: float, minutes: float, probe: str = "", place: Place = Place.CORE) -> Reading:
    return Reading(c, place, ago(minutes), "bo", "lamb", instrument=probe)


def test_what_cannot_be_is_doubted_and_left_out() -> None:
    good, hot, tomorrow = reading(60, 5), reading(165, 4), reading(60, -30)
    assert [d.why for d in doubts([good, hot, tomorrow], NOW)] == ["range", "future"]
    assert believed([tomorrow, good, hot], NOW, {}) == (good,)


def test_readings_told_late_are_put_in_order() -> None:
    late, early = reading(50, 5), reading(40, 15)
    assert believed([late, early], NOW, {}) == (early, late)


def test_a_dropped_thermometer_takes_back_its_readings_since_the_check() -> None:
    old, new, other = reading(50, 90, "P1"), reading(60, 10, "P1"), reading(61, 9, "P2")
    assert believed([old, new, other], NOW, {"P1": ago(60)}) == (old, other)
    assert believed([old, new, other], NOW, {"P1": None}) == (other,)
    assert dropped([old, new, other], "P1", ago(60)).verdict is Verdict.STOP


def test_a_second_look_with_the_same_probe_is_no_second_opinion() -> None:
    groups = same_moment([reading(58, 3, "P1"), reading(64, 2, "P1"), reading(64, 1, "P2")])
    assert max(len(g) for g in groups) == 2
    assert all(len({r.instrument for r in g}) == len(g) for g in groups)


def test_165_is_fahrenheit_and_what_no_food_can_be_is_refused() -> None:
    assert core_reading(165).c == pytest.approx(73.9, abs=0.05)  # by hand: 133 / 1.8
    assert core_reading(74).fahrenheit is False
    for value in (300.0, -60.0, 900.0):
        with pytest.raises(OutOfRangeError):
            core_reading(value)


# ------------------------------------------------------------------ site and crew


@published("IFC 308.1.4: 10 ft from combustible construction")
@pytest.mark.parametrize(("feet", "verdict"), [(8, Verdict.STOP), (10, Verdict.OK)])
def test_a_grill_by_a_wooden_wall(feet: float, verdict: Verdict) -> None:
    assert clearance_verdict(Near.BUILDING, feet * 0.3048).verdict is verdict


@published("IFC: 20 ft from tents")
def test_a_grill_by_a_tent() -> None:
    assert clearance_verdict(Near.TENT, 19 * 0.3048).verdict is Verdict.STOP


@published("NIOSH: 35 ppm")
def test_no_carbon_monoxide_reading_is_ok() -> None:
    assert co_verdict(35).verdict is Verdict.STOP
    assert co_verdict(0).verdict is Verdict.UNKNOWN


def test_without_a_site_card_the_emergency_card_still_says_call() -> None:
    lines = emergency_card(None)
    assert "CALL" in lines[0].text
    assert lines[0].fields["verdict"] is Verdict.STOP


@published("FSA and Scottish guidance: 48 h after symptoms end")
@pytest.mark.parametrize("book", BOOKS)
def test_a_sick_cook_is_out_for_48_hours(book: Profile | None) -> None:
    assert sick_findings("luis", (), book)[0].verdict is Verdict.STOP
    assert back_on(NOW, book) == NOW + timedelta(hours=48)


@published("NWS heat index: 90 °F and 70 % gives 105.9 °F (from memory)")
def test_the_heat_index() -> None:
    assert heat_index_c((90 - 32) / 1.8, 0.70) * 1.8 + 32 == pytest.approx(105.9, abs=0.05)
    assert crew_heat_line(25.0) is None
    hot = crew_heat_line((90 - 32) / 1.8)
    assert hot is not None
    assert "every 2 h" in hot.text


# ------------------------------------------------------------------ who may lift what


def stop(rule: str) -> Finding:
    return Finding("safety", say("{verdict}.", verdict=Verdict.STOP), Verdict.STOP, rule=rule)


CHEF = Lift("ana", Role.CHEF, "guests told, roast goes back on", "bo")


@pytest.mark.parametrize(
    "rule", ["us.A3", "us-consumer.poultry", "ca.whole_poultry", "us.cool_1", "au.cool_2",
             "us.cool_ambient", "allergen.sheet", "co.enclosed"],
)  # fmt: skip
def test_nobody_lifts_poultry_cooling_allergens_or_gas(rule: str) -> None:
    assert not may_be_lifted(stop(rule))
    assert refusal(stop(rule), CHEF) is not None
    assert with_lifters(stop(rule)).lift_by == ()


def test_what_may_be_poultry_is_not_lifted_either() -> None:
    anything = Food(kinds=frozenset({Kind.PORK, Kind.POULTRY}))
    assert not may_be_lifted(stop("uk.core"), anything)


def test_the_chef_lifts_the_rest_with_a_reason_and_a_second_person() -> None:
    gap = stop("house.stage_gap")
    assert refusal(gap, CHEF) is None
    for lift in (
        Lift("teo", Role.PIT, "fine", "bo"),
        Lift("ana", Role.CHEF, " ", "bo"),
        Lift("ana", Role.CHEF, "fine", None),
        Lift("ana", Role.CHEF, "fine", "ana"),
    ):
        assert refusal(gap, lift) is not None
