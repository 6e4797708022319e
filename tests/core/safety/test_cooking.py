"""Cooked or not: every printed row passes at its time and fails a second short of it."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from core.model import FoodClass, Profile, Verdict
from core.safety.cooking import cook_verdict
from core.safety.degrees import Degrees, of_f
from core.safety.food import Cut, Food, Kind, State, food_named, food_of_class
from core.safety.heat_met import CoreLog, Heat
from core.safety.hold import hold_table, poultry_table
from core.safety.ovens import oven_finding
from core.safety.pink import Guests
from tests.core.safety.printed import rows
from tests.published import published

ROAST = food_of_class(FoodClass.B)
BURGER = food_named("beef burger")
STEAK = food_of_class(FoodClass.C)
PUBLIC = Guests(vulnerable=False)


def verdict(food: Food | FoodClass, heat: Heat | CoreLog, book: Profile | None) -> Verdict | None:
    return cook_verdict(food, heat, book).verdict


@published("FDA Food Code 2022, 3-401.11(B)(1), whole roasts")
@pytest.mark.parametrize(("f", "c", "seconds"), rows("roasts"))
def test_every_row_of_the_roast_chart_passes_and_a_second_less_fails(
    f: float, c: float, seconds: float
) -> None:
    for read in (of_f(f), Degrees(c)):
        assert verdict(ROAST, Heat(read, seconds), Profile.US) is Verdict.OK
        if seconds > 0:
            assert verdict(ROAST, Heat(read, seconds - 1), Profile.US) is Verdict.NOT_YET


@published("USDA FSIS Appendix A, 6.5-log column")
@pytest.mark.parametrize("row", rows("appendix_a"))
def test_the_meat_table_gives_back_every_printed_row(row: list[float]) -> None:
    f, c, _, log_6_5, _ = row
    assert hold_table("roasts").at(of_f(f)) == pytest.approx(log_6_5)
    assert hold_table("roasts").at(Degrees(c)) == pytest.approx(log_6_5)


@published("USDA FSIS RTE poultry tables, Attachment 2")
@pytest.mark.parametrize("row", rows("poultry"))
def test_the_poultry_table_gives_back_every_printed_cell(row: list[float]) -> None:
    f, _, *cells = row
    columns = [(s, fat) for s in ("chicken", "turkey") for fat in (1, 5, 12)]
    for (species, fat), printed in zip(columns, cells, strict=True):
        table = poultry_table(species, fat)
        assert table is not None
        wanted = table.at(of_f(f))
        assert wanted is not None
        counted = 10.0 if printed == 0.0 and f < 165 else printed  # 'below 10 s' counts as ten
        if (species, fat, f) == ("turkey", 5, 150):
            counted = 228.0  # the print dips by 6 s against 1 % fat, a rounding: the larger counts
        half_digit = 3.0 if printed >= 60 else 0.05  # minutes and seconds are printed to 0.1
        assert wanted == pytest.approx(counted, abs=half_digit)


@published("USDA FSIS RTE poultry tables, Attachment 2, chicken 12 % at 150 °F: 4.2 min")
def test_fat_chicken_at_150_f_wants_4_2_minutes() -> None:
    bird = food_named("chicken")
    lean = Food(bird.kinds, frozenset({State.INTACT}), bird.cuts, species="chicken", fat_pct=12)
    assert verdict(lean, Heat(of_f(150), 252), Profile.US) is Verdict.OK
    assert verdict(lean, Heat(of_f(150), 240), Profile.US) is Verdict.NOT_YET


@published("USDA FSIS: the meat 7.0-log column undercooks poultry")
def test_the_meat_time_at_145_f_does_not_do_for_chicken() -> None:
    assert verdict(food_named("chicken thigh"), Heat(of_f(145), 300), Profile.US) is Verdict.NOT_YET


def test_fat_not_known_takes_the_longest_column_of_both_species() -> None:
    unknown, at = poultry_table(None, None), of_f(145)
    assert unknown is not None
    for species in ("chicken", "turkey"):
        for fat in range(1, 13):
            table = poultry_table(species, fat)
            assert table is not None
            assert (unknown.at(at) or 0) >= (table.at(at) or 0)


def test_other_birds_and_fatter_ones_have_no_table() -> None:
    assert poultry_table("other", 5) is None
    assert poultry_table("chicken", 15) is None


@published("FDA Food Code 2022, 3-401.11(A)(2)")
@pytest.mark.parametrize(
    ("f", "c", "seconds"), [(145, 63, 180), (150, 66, 60), (155, 68, 17), (158, 70, 0)]
)
@pytest.mark.parametrize("name", ["beef burger", "injected pork butt", "tenderised beef steak"])
def test_opened_meat_by_the_four_pairs(name: str, f: float, c: float, seconds: float) -> None:
    food = food_named(name)
    for read in (of_f(f), Degrees(c)):
        assert verdict(food, Heat(read, seconds), Profile.US) is Verdict.OK
        if seconds:
            assert verdict(food, Heat(read, seconds - 1), Profile.US) is Verdict.NOT_YET


@published("FDA Food Code 2022, 3-401.11(A)(2): the chart has nothing between its rows")
def test_between_two_pairs_the_colder_one_counts() -> None:
    assert verdict(BURGER, Heat(of_f(148), 177), Profile.US) is Verdict.NOT_YET
    assert verdict(BURGER, Heat(of_f(148), 180), Profile.US) is Verdict.OK


@published("FSA core temperatures; ACMSF for minced meat")
@pytest.mark.parametrize(
    ("c", "seconds", "strict"), [(60, 2700, 5580), (65, 600, 840), (70, 120, 120)]
)
def test_british_equivalents_and_the_stricter_set_for_minced(
    c: float, seconds: float, strict: float
) -> None:
    lamb = Food(frozenset({Kind.LAMB}), frozenset({State.INTACT}), frozenset({Cut.ROAST}))
    assert verdict(lamb, Heat(Degrees(c), seconds), Profile.UK) is Verdict.OK
    assert verdict(lamb, Heat(Degrees(c), seconds - 1), Profile.UK) is Verdict.NOT_YET
    assert verdict(BURGER, Heat(Degrees(c), strict), Profile.UK) is Verdict.OK
    assert verdict(BURGER, Heat(Degrees(c), strict - 1), Profile.UK) is Verdict.NOT_YET


def test_a_core_far_past_a_row_has_been_above_it_while_it_climbed() -> None:
    shoulder = food_named("whole pork shoulder")
    assert verdict(shoulder, Heat(Degrees(95.0)), Profile.UK) is Verdict.OK  # 15 s past 80 °C
    assert verdict(shoulder, Heat(Degrees(85.0)), Profile.UK) is Verdict.NOT_YET  # 5 s, 6 asked


# ------------------------------------------------------------------ steaks and pink meat


@published("FDA Food Code 2022, 3-401.11(C)")
def test_a_labelled_steak_needs_both_faces_and_no_core() -> None:
    heat = Heat(of_f(120), surface=of_f(145), seared=True)
    assert cook_verdict(STEAK, heat, Profile.US, PUBLIC).verdict is Verdict.OK


@published("FDA Food Code 2022, 3-401.11(C): every condition is needed")
@pytest.mark.parametrize(
    ("heat", "guests"),
    [
        (Heat(of_f(120), surface=of_f(144), seared=True), PUBLIC),
        (Heat(of_f(120), surface=of_f(145), seared=None), PUBLIC),
        (Heat(of_f(120), surface=None, seared=True), PUBLIC),
        (Heat(of_f(120), surface=of_f(145), seared=True), Guests(vulnerable=True)),
        (Heat(of_f(120), surface=of_f(145), seared=True), Guests(vulnerable=None)),
    ],
)
def test_a_steak_short_of_one_condition_is_not_cleared(heat: Heat, guests: Guests) -> None:
    assert cook_verdict(STEAK, heat, Profile.US, guests).verdict is Verdict.NOT_YET


def test_an_unlabelled_steak_is_not_cleared_by_its_faces() -> None:
    plain = Food(frozenset({Kind.BEEF}), frozenset({State.INTACT}), frozenset({Cut.STEAK}))
    heat = Heat(of_f(120), surface=of_f(145), seared=True)
    assert cook_verdict(plain, heat, Profile.US, PUBLIC).verdict is Verdict.NOT_YET


@published("FSA statement on rare meat: whole cuts of beef or lamb, whole outside cooked")
def test_pink_lamb_in_britain_wants_a_named_person_and_the_advisory() -> None:
    rump = food_of_class(FoodClass.A1, "Lamb rump")
    heat = Heat(Degrees(52.0), seared=True)
    named = Guests(vulnerable=False, approver="Ana", pink=True)
    found = cook_verdict(rump, heat, Profile.UK, named)
    assert found.verdict is Verdict.OK
    assert "advisory" in found.text.fields
    nobody = cook_verdict(rump, heat, Profile.UK, Guests(vulnerable=False, pink=True))
    assert nobody.verdict is Verdict.NOT_YET
    assert nobody.lift_by == ("chef",)


@published("FSA statement on rare meat: never pork, poultry, minced, rolled or tenderised")
@pytest.mark.parametrize(
    "name", ["whole pork chop", "chicken breast", "beef burger", "rolled beef"]
)
def test_what_may_never_be_pink_is_not_cleared_by_any_name(name: str) -> None:
    heat = Heat(Degrees(52.0), surface=Degrees(80.0), seared=True)
    named = Guests(vulnerable=False, approver="Ana", pink=True)
    for book in Profile:
        assert cook_verdict(food_named(name), heat, book, named).verdict is not Verdict.OK


@pytest.mark.parametrize("book", [p for p in Profile if p not in {Profile.US, Profile.UK}])
def test_rule_books_without_a_pink_row_clear_no_pink_meat(book: Profile) -> None:
    heat = Heat(Degrees(52.0), surface=Degrees(80.0), seared=True)
    named = Guests(vulnerable=False, approver="Ana", pink=True)
    assert cook_verdict(STEAK, heat, book, named).verdict is not Verdict.OK


# ------------------------------------------------------------------ unknowns


def test_pork_that_may_be_minced_is_asked_about() -> None:
    found = cook_verdict(food_named("pork chop"), Heat(Degrees(63.0), 15), Profile.US)
    assert found.verdict is Verdict.UNKNOWN
    assert "Say which" in found.text.text


def test_a_rule_book_without_a_row_is_unknown() -> None:
    assert verdict(BURGER, Heat(Degrees(90.0)), Profile.AU) is Verdict.UNKNOWN


def test_a_row_from_memory_fails_and_never_clears() -> None:
    chicken = food_named("chicken thigh")
    assert verdict(chicken, Heat(Degrees(70.0)), Profile.NZ) is Verdict.NOT_YET
    assert verdict(chicken, Heat(Degrees(90.0), 600), Profile.NZ) is Verdict.UNKNOWN


def test_unset_takes_the_worst_of_all_books_with_its_clause() -> None:
    found = cook_verdict(food_named("chicken thigh"), Heat(Degrees(72.0)), None)
    assert found.verdict is Verdict.NOT_YET
    assert found.rule.startswith(f"{found.profile}.")


@pytest.mark.parametrize("core", [-300.0, 121.0, 999999.0, float("nan"), float("inf")])
def test_a_core_no_food_can_have_clears_nothing(core: float) -> None:
    for book in (None, *Profile):
        assert verdict(BURGER, Heat(Degrees(core), 9999), book) is Verdict.UNKNOWN


@published("FDA Food Code 2022, 3-401.11(B)(2): dry ovens at 250 °F or more")
def test_a_dry_pit_at_225_f_takes_the_low_rows_away() -> None:
    roast = food_named("whole beef roast")
    low = oven_finding(roast, Heat(of_f(130), 6720), of_f(225), weight_kg=6.0)
    assert low is not None
    assert low.verdict is Verdict.NOT_YET
    assert oven_finding(roast, Heat(of_f(130), 6720), of_f(250), weight_kg=6.0) is None
    assert oven_finding(roast, Heat(of_f(190)), of_f(225), weight_kg=6.0) is None


# ------------------------------------------------------------------ a log of readings

START = datetime(2026, 6, 13, 10, tzinfo=UTC)


def log(*points: tuple[float, float]) -> CoreLog:
    """Return a core log of (minutes, °C)."""
    return CoreLog(tuple((START + timedelta(minutes=m), Degrees(c)) for m, c in points))


def test_an_interval_counts_at_the_lower_of_its_readings() -> None:
    held = log((0, 60.0), (6, 61.5), (12, 60.0))  # by hand: 12 min at 60.0 or more
    assert verdict(ROAST, held, Profile.US) is Verdict.OK
    dip = log((0, 60.0), (6, 58.0), (12, 61.0))
    assert verdict(ROAST, dip, Profile.US) is Verdict.NOT_YET


def test_nothing_is_credited_between_readings_far_apart() -> None:
    assert verdict(ROAST, log((0, 60.0), (40, 60.0)), Profile.US) is Verdict.NOT_YET


def test_time_at_two_temperatures_adds_up() -> None:
    # by hand: 6 of 12 min at 60.0, and 2.5 of 5 min at 62.2 make one whole
    held = log((0, 60.0), (6, 60.0), (6.01, 62.2), (8.6, 62.2))
    assert verdict(ROAST, held, Profile.US) is Verdict.OK
