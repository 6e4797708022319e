"""Hotter, longer and better known: laws that hold for every food, rule book and guest."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from core.model import Profile, Verdict
from core.safety.clocks import Out, Side, out_verdict
from core.safety.cooking import cook_verdict
from core.safety.cooling import Cooling, cooling_verdict
from core.safety.degrees import Degrees, of_f
from core.safety.food import Cut, Food, Kind, State
from core.safety.heat_met import CoreLog, Heat
from core.safety.pink import Guests

NOON = datetime(2026, 6, 13, 12, tzinfo=UTC)
BOOKS = st.sampled_from([None, *Profile])
QUICK = settings(max_examples=150, deadline=None)


def some(kinds: type[Kind] | type[State] | type[Cut]) -> st.SearchStrategy[frozenset[object]]:
    """Return non-empty sets of what a food may be."""
    return st.frozensets(st.sampled_from(list(kinds)), min_size=1)


foods = st.builds(
    Food,
    kinds=some(Kind),
    states=some(State),
    cuts=some(Cut),
    to_order=st.frozensets(st.booleans(), min_size=1),
    labelled=st.booleans(),
    species=st.sampled_from([None, "chicken", "turkey", "other"]),
    fat_pct=st.sampled_from([None, 1.0, 4.5, 12.0, 20.0]),
)
guests = st.builds(
    Guests,
    vulnerable=st.sampled_from([None, True, False]),
    approver=st.sampled_from([None, "Ana"]),
    pink=st.booleans(),
)
cores = st.floats(40.0, 100.0)
holds = st.sampled_from([0.0, 1.0, 15.0, 17.0, 60.0, 120.0, 180.0, 252.0, 720.0, 6720.0])


def clears(food: Food, heat: Heat | CoreLog, book: Profile | None, who: Guests) -> bool:
    return cook_verdict(food, heat, book, who).verdict is Verdict.OK


@QUICK
@given(foods, cores, holds, st.floats(0, 20), st.floats(0, 900), BOOKS, guests, st.booleans())
def test_hotter_or_longer_never_turns_a_pass_into_a_fail(
    food: Food,
    core: float,
    hold: float,
    more: float,
    longer: float,
    book: Profile | None,
    who: Guests,
    fahrenheit: bool,
) -> None:
    one = Heat(Degrees(core, fahrenheit), hold, seared=True)
    two = Heat(Degrees(min(core + more, 119.0), fahrenheit), hold + longer, seared=True)
    if clears(food, one, book, who):
        assert clears(food, two, book, who)


@QUICK
@given(foods, foods, cores, holds, BOOKS, guests)
def test_knowing_less_of_a_food_never_turns_a_fail_into_a_pass(
    food: Food, other: Food, core: float, hold: float, book: Profile | None, who: Guests
) -> None:
    vaguer = replace(
        food,
        kinds=food.kinds | other.kinds,
        states=food.states | other.states,
        cuts=food.cuts | other.cuts,
        to_order=food.to_order | other.to_order,
        labelled=False,
        species=food.species if food.species == other.species else None,
        fat_pct=None,
    )
    heat = Heat(Degrees(core), hold, seared=True)
    same_bird = food.species in {None, "chicken", "turkey"} and (food.fat_pct or 0) <= 12
    if same_bird and clears(vaguer, heat, book, who):
        assert clears(food, heat, book, who)


@QUICK
@given(foods, cores, holds, BOOKS)
def test_knowing_nothing_of_guests_or_outside_never_clears_more(
    food: Food, core: float, hold: float, book: Profile | None
) -> None:
    known = Guests(vulnerable=False, approver="Ana", pink=True)
    heat = Heat(Degrees(core), hold, surface=Degrees(80.0), seared=True)
    bare = Heat(Degrees(core), hold)
    if clears(food, bare, book, Guests()):
        assert clears(food, heat, book, known)


@QUICK
@given(foods, cores, holds, guests)
def test_no_rule_book_clears_only_what_each_of_them_clears(
    food: Food, core: float, hold: float, who: Guests
) -> None:
    heat = Heat(Degrees(core), hold, seared=True)
    each = all(clears(food, heat, book, who) for book in Profile)
    assert clears(food, heat, None, who) is each


@QUICK
@given(foods, cores, holds, st.sampled_from(list(Profile)), guests)
def test_a_rule_book_never_cites_another(
    food: Food, core: float, hold: float, book: Profile, who: Guests
) -> None:
    found = cook_verdict(food, Heat(Degrees(core), hold, seared=True), book, who)
    assert found.profile is book
    assert not found.rule or found.rule.split(".")[0] == book.value


@QUICK
@given(foods, cores, holds, st.sampled_from(list(Profile)), guests)
def test_only_confirmed_rows_clear(
    food: Food, core: float, hold: float, book: Profile, who: Guests
) -> None:
    found = cook_verdict(food, Heat(Degrees(core), hold, seared=True), book, who)
    if found.verdict is Verdict.OK:
        assert found.status in {"C", "C2"}


curves = st.lists(st.floats(40.0, 95.0), min_size=1, max_size=12)


def log(points: list[float], step_min: float) -> CoreLog:
    return CoreLog(
        tuple((NOON + timedelta(minutes=step_min * i), Degrees(c)) for i, c in enumerate(points))
    )


@QUICK
@given(foods, curves, st.floats(0.1, 14.0), st.floats(0, 10), BOOKS)
def test_a_hotter_curve_never_turns_a_pass_into_a_fail(
    food: Food, points: list[float], step: float, more: float, book: Profile | None
) -> None:
    if clears(food, log(points, step), book, Guests()):
        assert clears(food, log([c + more for c in points], step), book, Guests())


@QUICK
@given(foods, curves, st.floats(0.1, 14.0), BOOKS)
def test_a_log_cut_short_never_clears_what_the_whole_does_not(
    food: Food, points: list[float], step: float, book: Profile | None
) -> None:
    if clears(food, log(points[:-1] or points, step), book, Guests()):
        assert clears(food, log(points, step), book, Guests())


# ------------------------------------------------------------------ clocks

airs = st.sampled_from([None, Degrees(20.0), Degrees(31.9), Degrees(32.0), of_f(90), of_f(91)])
outs = st.builds(
    Out,
    side=st.sampled_from(list(Side)),
    since=st.integers(0, 500).map(lambda m: NOON - timedelta(minutes=m)),
    now=st.just(NOON),
    before_min=st.sampled_from([0.0, 30.0, 150.0]),
    periods=st.sampled_from([0, 1]),
    air=airs,
    warmest=st.sampled_from([None, Degrees(20.0), Degrees(22.0)]),
    procedure=st.booleans(),
    six_hours=st.booleans(),
)


def kept(out: Out, book: Profile | None) -> bool:
    return out_verdict(out, book).verdict is Verdict.OK


@QUICK
@given(outs, st.integers(0, 300), BOOKS)
def test_longer_out_never_turns_a_fail_into_a_pass(
    out: Out, more: int, book: Profile | None
) -> None:
    assert out.since is not None
    longer = replace(out, since=out.since - timedelta(minutes=more))
    if kept(longer, book):
        assert kept(out, book)
    bins = {out_verdict(each, book).verdict is Verdict.BIN for each in (out,)}
    if True in bins:
        assert out_verdict(longer, book).verdict is Verdict.BIN


@QUICK
@given(outs, BOOKS)
def test_knowing_less_of_food_out_never_turns_a_fail_into_a_pass(
    out: Out, book: Profile | None
) -> None:
    for less in (
        replace(out, air=None),
        replace(out, warmest=None),
        replace(out, since=None),
        replace(out, procedure=out.six_hours and out.procedure),  # the 6 h one is another rule
    ):
        if kept(less, book):
            assert kept(out, book)


@QUICK
@given(outs, st.sampled_from(list(Profile)))
def test_clocks_cite_their_own_book_or_the_house(out: Out, book: Profile) -> None:
    found = out_verdict(out, book)
    assert not found.rule or found.rule.split(".")[0] in {book.value, "house"}
    if found.verdict is Verdict.OK:
        assert found.status in {"C", "C2"}
        assert found.deadline is not None
        assert found.deadline > NOON


# ------------------------------------------------------------------ cooling


@QUICK
@given(
    st.lists(st.tuples(st.integers(0, 400), st.floats(1.0, 80.0)), min_size=1, max_size=8),
    st.floats(0, 10),
    BOOKS,
)
def test_a_warmer_cooling_never_passes_where_a_colder_fails(
    points: list[tuple[int, float]], warmer: float, book: Profile | None
) -> None:
    def cooled(add: float) -> Cooling:
        readings = tuple((NOON + timedelta(minutes=m), Degrees(c + add)) for m, c in points)
        return Cooling(readings, started=NOON)

    end = NOON + timedelta(minutes=401)
    if cooling_verdict(cooled(warmer), book, end).verdict is Verdict.OK:
        assert cooling_verdict(cooled(0.0), book, end).verdict is Verdict.OK


@QUICK
@given(
    st.lists(st.tuples(st.integers(0, 400), st.floats(1.0, 80.0)), min_size=1, max_size=8), BOOKS
)
def test_cooling_does_not_depend_on_the_order_of_reporting(
    points: list[tuple[int, float]], book: Profile | None
) -> None:
    once = dict(points)
    readings = tuple((NOON + timedelta(minutes=m), Degrees(c)) for m, c in once.items())
    end = NOON + timedelta(minutes=401)
    one = cooling_verdict(Cooling(readings, started=NOON), book, end)
    two = cooling_verdict(Cooling(readings[::-1], started=NOON), book, end)
    assert one == two
