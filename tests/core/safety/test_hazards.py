"""Hazards seen on cards and plans, and everything unsafe at an instant of a cook."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from core.model import (
    Batch,
    Cards,
    Dish,
    Emergency,
    Event,
    Finding,
    FoodClass,
    GuestNeed,
    Hold,
    HouseLimits,
    Ingredient,
    Kit,
    Line,
    Load,
    MenuItem,
    Moment,
    Piece,
    Place,
    Plan,
    Probe,
    Profile,
    Reading,
    Station,
    StationKind,
    Step,
    StepRun,
    Verdict,
    Weather,
)
from core.planner import plan
from core.safety.crew import sick_findings, touched_by
from core.safety.hazards import hazards, used_dishes
from core.safety.watch import Day, day_findings
from tests.core.planner.days import harvest, wedding
from tests.published import published

KIT = Kit(
    (
        Station("P1", StationKind.SMOKER),
        Station("G1", StationKind.GRILL),
        Station("R1", StationKind.RING),
        Station("T1", StationKind.TABLE),
        Station("T2", StationKind.TABLE),
        Station("F1", StationKind.FRIDGE),
        Station("H1", StationKind.HOT_BOX),
        Station("C1", StationKind.COLD_BOX),
    ),
    (Probe("stick"),),
)
SITE = Emergency("112", "Orchard Lane 3", "Gate 3", "Bo")


def dish(
    *steps: Step, food: FoodClass | None = None, name: str = "plate", goods: tuple[str, ...] = (),
    **more: object,
) -> Dish:  # fmt: skip
    return Dish(
        "plate",
        name,
        Batch(1, "kg"),
        piece=Piece(food_class=food),
        ingredients=tuple(Ingredient(each) for each in goods),
        steps=steps,
        **more,  # type: ignore[arg-type]
    )


def cards(*dishes: Dish, book: Profile | None = Profile.US, **event: object) -> Cards:
    menu = tuple(MenuItem(d.id) for d in dishes)
    party = Event("e", "E", date(2026, 6, 13), "UTC", 60, menu, (), profile=book, emergency=SITE)
    return Cards(replace(party, **event), KIT, (), dishes)  # type: ignore[arg-type]


def found(of: Cards, at: Plan | None = None) -> dict[str, Verdict | None]:
    """Return the rules broken with their verdicts."""
    return {f.rule: f.verdict for f in hazards(of, at)}


SMOKE = Step("smoke", "smoke", "P1", temp_c=110, until_core_c=50, ideal_min=45, gap_max_min=10)
SEAR = Step("sear", "sear", "G1", temp_c=280, until_core_c=74, ideal_min=4)
CHILL = Step("chill", "chill", "F1", ideal_min=120, keep_below_c=5, day=-1)


# ------------------------------------------------------------------ cooking


def test_a_card_that_cooks_far_enough_has_no_finding() -> None:
    assert found(cards(dish(SMOKE, SEAR, food=FoodClass.A3, name="Chicken thigh"))) == {}


@published("FDA Food Code 3-401.11(A)(3)")
def test_a_card_that_pulls_chicken_at_70_is_told_and_nobody_may_lift_it() -> None:
    thigh = dish(SMOKE, replace(SEAR, until_core_c=70), food=FoodClass.A3, name="Chicken thigh")
    (only,) = hazards(cards(thigh))
    assert only.verdict is Verdict.NOT_YET
    assert only.rule == "us.A3"
    assert only.lift_by == ()


def test_meat_without_a_core_on_its_card_is_unknown() -> None:
    grilled = dish(replace(SEAR, until_core_c=None), food=FoodClass.A2, name="Burger")
    assert [f.verdict for f in hazards(cards(grilled))] == [Verdict.UNKNOWN]


def test_pink_lamb_on_a_card_waits_for_a_named_person() -> None:
    lamb = dish(SMOKE, replace(SEAR, until_core_c=52), food=FoodClass.A1, name="Lamb rump")
    (only,) = hazards(cards(lamb, book=Profile.UK))
    assert (only.verdict, only.lift_by) == (Verdict.NOT_YET, ("chef",))


@published("FDA Food Code 3-401.11(B)(2)")
def test_a_roast_from_a_dry_low_pit_needs_the_top_row() -> None:
    hold = Step("hold", "hold", "P1", ideal_min=120)
    low = dish(replace(SMOKE, temp_c=107, until_core_c=62.8), Step("rest", "rest", ideal_min=20),
               food=FoodClass.B, name="Beef roast")  # fmt: skip
    assert found(cards(low))["us.B.oven"] is Verdict.NOT_YET
    tender = dish(replace(SMOKE, temp_c=107, until_core_c=93), hold, food=FoodClass.B,
                  name="Pork butt")  # fmt: skip
    assert "us.B.oven" not in found(cards(tender))


def test_a_card_may_not_park_meat_over_ten_minutes_between_two_fires() -> None:
    slow = dish(replace(SMOKE, gap_max_min=25), SEAR, food=FoodClass.A3, name="Chicken thigh")
    assert found(cards(slow)) == {"house.stage_gap": Verdict.STOP}


def test_vegetables_may_wait_and_so_may_what_is_kept_hot() -> None:
    roots = dish(replace(SMOKE, gap_max_min=25, until_core_c=85), SEAR, food=FoodClass.PLANT)
    assert found(cards(roots)) == {}
    kept = Step("wait", "hold", "H1", max_min=60, keep_above_c=63)
    steaks = dish(replace(SMOKE, gap_max_min=2), kept, SEAR, food=FoodClass.A1, name="Pork steak")
    assert "house.stage_gap" not in found(cards(steaks))


@published("FDA Food Code 3-401.14")
def test_half_cooking_the_day_before_is_asked_about() -> None:
    two = dish(replace(SMOKE, day=-1), CHILL, replace(SEAR, day=0), food=FoodClass.A1,
               name="Pork chop")  # fmt: skip
    assert found(cards(two))["us.noncontinuous"] is Verdict.UNKNOWN


# ------------------------------------------------------------------ what is in it


@published("FDA Food Code 1-201.10: heat-treated plant food")
def test_vegetables_smoked_the_day_before_need_a_cooling_step() -> None:
    smoked = Step("smoke", "smoke", "P1", ideal_min=80, day=-1)
    assert found(cards(dish(smoked, food=FoodClass.PLANT)))["plants.tcs"] is Verdict.STOP
    assert found(cards(dish(smoked, CHILL, food=FoodClass.PLANT))) == {}


@published("University of Idaho: 4 days; house: the same day")
@pytest.mark.parametrize(
    ("day", "kept", "rule", "verdict"),
    [
        (-5, 5.0, "garlic.days", Verdict.STOP),
        (-1, 5.0, "house.garlic_oil", Verdict.NOT_YET),
        (None, None, "garlic.tcs", Verdict.NOT_YET),
    ],
)
def test_raw_garlic_in_oil(
    day: int | None, kept: float | None, rule: str, verdict: Verdict
) -> None:
    step = Step("blend", "blend", "T1", day=day, keep_below_c=kept)
    assert found(cards(dish(step, goods=("raw garlic", "olive oil")))) == {rule: verdict}


def test_garlic_oil_of_the_day_kept_cold_is_fine_and_so_is_cooked_garlic() -> None:
    cold = Step("blend", "blend", "T1", keep_below_c=5)
    assert found(cards(dish(cold, goods=("garlic", "oil")))) == {}
    boiled = Step("boil", "boil", "R1", day=-1)
    assert "garlic.days" not in found(cards(dish(boiled, CHILL, goods=("garlic", "oil"))))


@published("Ohio State and K-State: soak 5 h, boil 30 min")
@pytest.mark.parametrize(("minutes", "unsafe"), [(10, True), (30, False)])
def test_red_beans_want_a_hard_boil(minutes: float, unsafe: bool) -> None:
    boil = Step("boil", "boil", "R1", ideal_min=minutes)
    beans = dish(boil, goods=("dry red kidney beans",))
    assert ("plants.red_beans" in found(cards(beans))) is unsafe
    pit_only = dish(Step("smoke", "smoke", "P1", ideal_min=300), goods=("red kidney beans",))
    assert found(cards(pit_only))["plants.red_beans"] is Verdict.STOP


@published("FDA Food Code 1-201.10: cut leafy greens, melons, tomatoes")
def test_cut_leaves_want_cold_or_a_clock() -> None:
    cut = Step("shred", "shred", "T1")
    assert found(cards(dish(cut, goods=("lettuce",))))["plants.tcs"] is Verdict.NOT_YET
    assert found(cards(dish(replace(cut, keep_below_c=5), goods=("lettuce",)))) == {}
    assert found(cards(dish(replace(cut, never_over_min=240), goods=("melon",)))) == {}


@published("Xiong et al. 1999; raw egg for vulnerable guests is a stop (common practice)")
def test_raw_egg() -> None:
    mayo = dish(Step("mix", "mix", "T1", keep_below_c=5), goods=("egg yolks", "oil", "vinegar"))
    assert found(cards(mayo))["mayo.ph"] is Verdict.NOT_YET
    weak = (GuestNeed("pregnant", vulnerable=True),)
    assert found(cards(mayo, guests=weak))["mayo.ph"] is Verdict.STOP
    safe = dish(Step("mix", "mix", "T1", keep_below_c=5), goods=("pasteurised egg yolks", "oil"))
    assert found(cards(safe)) == {}


@published("foodsafety.gov: used marinade only after boiling; poultry 2 days")
def test_marinades_reused_or_too_long() -> None:
    brine = Dish("brine", "Brine", Batch(1, "L"))
    meat = replace(
        dish(SMOKE, SEAR, food=FoodClass.A3, name="Chicken thigh"),
        id="meat",
        ingredients=(Ingredient("brine", card="brine", eaten=False),),
    )
    sauce = replace(dish(), id="sauce", ingredients=(Ingredient("brine", card="brine"),))
    assert found(cards(meat, sauce, brine))["marinade.reuse"] is Verdict.STOP
    boiled = replace(sauce, steps=(Step("boil", "boil", "R1"),))
    assert "marinade.reuse" not in found(cards(meat, boiled, brine))
    long = replace(meat, steps=(Step("marinate", "marinate", max_min=3 * 1440), *meat.steps))
    assert found(cards(long, brine))["marinade.poultry"] is Verdict.STOP


def test_nothing_thaws_on_a_table() -> None:
    table, fridge = Step("thaw", "thaw", "T1"), Step("thaw", "thaw", "F1")
    assert found(cards(dish(table)))["us.thaw_cold"] is Verdict.STOP
    assert found(cards(dish(fridge))) == {}


# ------------------------------------------------------------------ holding and the day


@published("FDA Food Code 3-501.16; England Sch 4")
@pytest.mark.parametrize(("book", "good"), [(Profile.US, True), (Profile.UK, False), (None, False)])
def test_a_card_that_holds_at_58(book: Profile | None, good: bool) -> None:
    stew = dish(hold=Hold(58.0, 240, "hot"))
    assert (found(cards(stew, book=book)) == {}) is good


def test_a_house_stricter_than_the_book_counts_on_cards_too() -> None:
    stew = dish(hold=Hold(58.0, 240, "hot"))
    strict = cards(stew, house=HouseLimits(hot_min_c=63.0))
    assert found(strict)["us.hot_hold"] is Verdict.STOP


def test_cold_kept_at_7_is_over_the_limit() -> None:
    salad = dish(Step("chill", "chill", "F1", keep_below_c=7))
    assert found(cards(salad))["us.cold_hold"] is Verdict.STOP
    assert found(cards(salad, book=Profile.UK)) == {}


def test_a_hot_forecast_shortens_cold_food() -> None:
    hot = (Weather(Moment(0, 12, 0), air_c=33),)
    assert found(cards(dish(), weather=hot))["house.hot_weather"] is Verdict.NOT_YET
    assert found(cards(dish(), weather=(Weather(Moment(0, 12, 0), air_c=31),))) == {}


def test_an_event_without_emergency_card_or_thermometer_is_told() -> None:
    bare = cards(dish(SMOKE, SEAR, food=FoodClass.A3, name="Chicken"), emergency=None)
    naked = replace(bare, kit=Kit(KIT.stations))
    assert [f.verdict for f in hazards(naked)] == [Verdict.UNKNOWN, Verdict.UNKNOWN]


def test_only_what_is_on_the_menu_is_looked_at() -> None:
    other = replace(dish(replace(CHILL, keep_below_c=9)), id="other")
    of = cards(dish())
    assert used_dishes(replace(of, dishes=(*of.dishes, other))) == of.dishes


# ------------------------------------------------------------------ plans

ON = datetime(2026, 6, 13, 12, tzinfo=UTC)


def run(key: str, index: int, start: float, end: float, **more: object) -> StepRun:
    unit = key.split("/")[1]
    return StepRun(
        key, "plate", "A", unit, index, key, key.split("/")[2], 10,
        str(more.pop("station", "P1")), ON + timedelta(minutes=start), ON + timedelta(minutes=end),
        **more,  # type: ignore[arg-type]
    )  # fmt: skip


def planned(*runs: StepRun) -> Plan:
    load = Load("plate/A", "L1", "A", "plate", 10, "P1", ON, ON, ON, ON, 0, 0, runs)
    return Plan("A", 60, ON, (load,), ())


def fires(gap_min: float) -> Plan:
    return planned(
        run("plate/A/smoke", 0, 0, 45, on_fire=True, until_core_c=50),
        run("plate/A/sear", 1, 45 + gap_min, 50 + gap_min, on_fire=True, until_core_c=74,
            station="G1"),
    )  # fmt: skip


THIGH = dish(SMOKE, SEAR, food=FoodClass.A3, name="Chicken thigh")


@pytest.mark.parametrize(("gap", "unsafe"), [(2, False), (9, False), (10, True), (30, True)])
def test_a_plan_that_parks_chicken_is_stopped(gap: float, unsafe: bool) -> None:
    rules = found(cards(THIGH), fires(gap))
    assert (rules.get("house.stage_gap") is Verdict.STOP) is unsafe


def test_raw_beside_ready_on_one_table_is_told() -> None:
    salad = replace(dish(Step("dress", "dress", "T1")), id="salad", name="Salad")
    trim = dish(Step("trim", "trim", "T1"), SMOKE, SEAR, food=FoodClass.A3, name="Chicken thigh")
    raw = run("plate/A/trim", 0, 0, 30, station="T1")
    ready = replace(run("plate/B/dress", 0, 20, 40, station="T1"), dish="salad")
    apart = replace(ready, station="T2")
    assert "separation" in found(cards(trim, salad), planned(raw, ready))
    assert "separation" not in found(cards(trim, salad), planned(raw, apart))
    assert "separation" not in found(cards(trim, salad), planned(replace(ready), replace(ready)))


def test_the_two_example_days_have_no_stop() -> None:
    for of in (wedding(), harvest()):
        assert Verdict.STOP not in {f.verdict for f in hazards(of, plan(of))}


# ------------------------------------------------------------------ an instant of a cook


def core(c: float, minutes: float, about: str, probe: str = "P1") -> Reading:
    return Reading(c, Place.CORE, ON + timedelta(minutes=minutes), "bo", about, instrument=probe)


def day(now_min: float, readings: tuple[Reading, ...] = (), **more: object) -> Day:
    of = cards(THIGH)
    return Day(
        of, fires(2), ON + timedelta(minutes=now_min), readings,
        **more,  # type: ignore[arg-type]
    )  # fmt: skip


SMOKED = {"plate/A/smoke": ON + timedelta(minutes=45)}
DONE = SMOKED | {"plate/A/sear": ON + timedelta(minutes=52)}


def verdicts(at: Day) -> dict[str, Verdict | None]:
    return {f.about: f.verdict for f in day_findings(at)}


def test_meat_off_its_first_fire_is_watched_by_the_minute() -> None:
    assert verdicts(day(52, ended=SMOKED)) == {}
    assert verdicts(day(53, ended=SMOKED)) == {"plate/A/sear": Verdict.NOT_YET}
    assert verdicts(day(55, ended=SMOKED)) == {"plate/A/sear": Verdict.STOP}


def test_meat_that_came_off_unprobed_is_unknown() -> None:
    assert verdicts(day(60, ended=DONE)) == {"plate/A/sear": Verdict.UNKNOWN}


def test_meat_that_came_off_short_is_not_yet_and_far_enough_is_silent() -> None:
    short = day(60, (core(71.0, 51, "plate/A/sear"),), ended=DONE)
    assert verdicts(short) == {"plate/A/sear": Verdict.NOT_YET}
    done = day(60, (core(75.0, 51, "plate/A/sear"),), ended=DONE)
    assert verdicts(done) == {}


def test_a_doubted_probe_takes_the_pass_away() -> None:
    one = core(75.0, 51, "plate/A/sear")
    doubted = day(60, (one,), ended=DONE, doubted={"P1": None})
    assert verdicts(doubted) == {"P1": Verdict.UNKNOWN, "plate/A/sear": Verdict.UNKNOWN}


def test_boxes_run_from_their_last_good_reading() -> None:
    def box(c: float, minutes: float) -> Reading:
        return Reading(c, Place.TUB, ON + timedelta(minutes=minutes), "bo", "C1")

    early = replace(day(15, (box(4.0, 0), box(7.0, 15))), plan=None)
    assert verdicts(early) == {}  # 15 min of the 2 h used
    late = replace(day(121, (box(4.0, 0), box(7.0, 121))), plan=None)
    assert verdicts(late) == {"C1": Verdict.BIN}


@published("a replay gives the same verdicts (design law), whatever the order of reporting")
def test_a_replayed_log_gives_the_same_findings() -> None:
    rng = random.Random(7)
    readings = tuple(
        Reading(
            rng.uniform(0, 90), rng.choice([Place.CORE, Place.TUB, Place.AIR]),
            ON + timedelta(minutes=rng.randint(0, 90)), "bo",
            rng.choice(["C1", "H1", "plate/A/sear", "plate/A/smoke"]),
            instrument=rng.choice(["P1", "P2", ""]),
        )
        for _ in range(300)
    )  # fmt: skip
    unique = tuple({(r.at, r.about, r.place, r.instrument): r for r in readings}.values())
    unique = tuple({(r.at, r.about): r for r in unique}.values())
    shuffled = list(unique)
    rng.shuffle(shuffled)
    one = day_findings(day(95, unique, ended=DONE))
    two = day_findings(day(95, tuple(shuffled), ended=DONE))
    assert sorted(one, key=repr) == sorted(two, key=repr)
    assert one == day_findings(day(95, unique, ended=DONE))


def test_every_finding_of_a_hard_day_starts_with_its_verdict() -> None:
    all_of: list[Finding] = list(hazards(wedding(), plan(wedding())))
    all_of += hazards(cards(dish(replace(CHILL, keep_below_c=9)), emergency=None))
    for each in all_of:
        inner = each.text.fields.get("finding", each.text)
        assert isinstance(inner, Line)
        assert inner.text.startswith("{verdict}")


# ------------------------------------------------------------------ sick crew


def test_what_a_sick_cook_touched_is_named_and_ready_food_is_binned() -> None:
    of = wedding()
    made = plan(of)
    busy = next(who for task in made.tasks for who in task.crew if task.dish == "leek-potato-salad")
    now = max(task.end for task in made.tasks if task.dish == "leek-potato-salad")
    touched = touched_by(busy, of, made, now)
    assert {each.dish for each in touched} >= {"Leek and potato salad"}
    assert all(each.start < now for each in touched)
    found = sick_findings(busy, touched, Profile.UK)
    assert found[0].verdict is Verdict.STOP
    salad = [f for f, each in zip(found[1:], touched, strict=True) if "salad" in each.dish]
    assert salad
    assert all(f.verdict is Verdict.BIN for f in salad)


def test_raw_lamb_a_sick_cook_touched_may_still_be_cooked_through() -> None:
    of = wedding()
    made = plan(of)
    smoke = next(run for run in made.runs() if run.dish == "lamb-rump" and run.do == "smoke")
    person = smoke.crew[0]
    touched = touched_by(person, of, made, smoke.end)
    lamb = [each for each in touched if each.dish == "Lamb rump"]
    assert lamb
    assert not any(each.ready_to_eat for each in lamb)
    assert sick_findings(person, lamb, None)[1].verdict is Verdict.NOT_YET
