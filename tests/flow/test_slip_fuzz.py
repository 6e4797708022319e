"""Anything may go wrong in any order: no call twice, none for finished work, every tap answered."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import cache

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.cards import read_event
from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from core.calls import calls_owed, due
from core.cook import Cook, Phase, decide, replay
from core.cook.decision import Dated, booked
from core.errors import KitchenError
from core.facts import (
    AnswerCall,
    CallMade,
    ChangeHeads,
    Choose,
    GiveReading,
    HoldService,
    MovePlates,
    Report,
    ReportStep,
    RestartService,
    RunLate,
    StartCook,
    Undo,
    Wish,
)
from core.facts.slips import (
    AskCure,
    DropPieces,
    FireBack,
    FireDown,
    FireSlow,
    FoundFrozen,
    GasOut,
    GoodsOff,
    LotMissed,
    PersonIn,
    PersonOut,
    SpeechFirst,
    Supply,
    SupplyOut,
    SwitchWeather,
)
from core.model import Cards, Moment, Place, Rain, Reading
from core.rights import CLIENT, check_right

FOLDERS = {"wedding": GOLDEN_WEDDING, "harvest": HARVEST_SUPPER}
Made = Callable[[Cook, datetime], Wish]


@cache
def begun(name: str) -> tuple[Cards, Cook]:
    cards = read_event(FOLDERS[name])
    then = cards.event.instant(Moment(0, 9, 0))
    chef = cards.chef.id if cards.chef else ""
    first = decide(Cook(), StartCook("f-1", cards, {}), by=chef, at=then, now=then)
    return cards, booked(Cook(), first.facts, chef, then)


def wishes(cards: Cards) -> st.SearchStrategy[Wish]:
    stations = st.sampled_from([s.id for s in cards.kit.stations])
    people = st.sampled_from([p.id for p in cards.crew])
    dishes = st.sampled_from([d.id for d in cards.dishes])
    loads = st.sampled_from(["A", "B", "a1", "b1", "a2", "b2", "L1", "L2", "L5"])
    verbs = st.sampled_from([("on", Report.START), ("off", Report.DONE), ("", Report.DONE)])
    then = cards.event.instant(Moment(0, 17, 0))
    return st.one_of(
        st.builds(FireDown, stations, back_min=st.sampled_from([None, 10.0, 45.0])),
        st.builds(FireBack, stations),
        st.builds(FireSlow, stations),
        st.builds(
            SwitchWeather,
            st.sampled_from([None, 10.0, 30.0, 60.0]),
            st.sampled_from([None, *Rain]),
            st.sampled_from([None, -2.0, 6.0]),
            st.booleans(),
        ),
        st.builds(GasOut, st.just(""), st.sampled_from([None, 4.0])),
        st.builds(SupplyOut, st.sampled_from(Supply), st.booleans()),
        st.builds(PersonOut, people),
        st.builds(PersonIn, people),
        st.builds(DropPieces, st.integers(1, 200), st.one_of(loads, dishes, st.just(""))),
        st.builds(LotMissed, st.just("brine"), st.integers(1, 3)),
        st.builds(GoodsOff, dishes, st.sampled_from([None, 5.0]), st.sampled_from([None, 9.0])),
        st.builds(FoundFrozen, st.just("")),
        st.builds(AskCure, st.sampled_from(["sauce", "smoke", "split"])),
        st.builds(SpeechFirst, st.sampled_from([5.0, 20.0])),
        st.builds(ChangeHeads, st.integers(cards.event.heads - 40, cards.event.heads + 60)),
        st.builds(MovePlates, st.just(then + timedelta(minutes=130))),
        st.builds(RunLate, st.sampled_from([5.0, 25.0])),
        st.builds(
            lambda load, verb: ReportStep(load, verb[0], verb[1]), loads, verbs
        ),
        st.builds(
            lambda load, core: GiveReading(Reading(core, Place.CORE, then, "", load)),
            loads, st.floats(5, 70),
        ),
        st.builds(
            lambda pit, c: GiveReading(Reading(c, Place.PIT, then, "", pit)),
            stations, st.floats(60, 150),
        ),
        st.builds(HoldService, st.sampled_from(["lightning", "speech"])),
        st.just(RestartService()),
        st.just(AnswerCall()),
        st.builds(Choose, st.integers(1, 4)),
        st.just(Undo()),
    )  # fmt: skip


STEPS = st.sampled_from(sorted(FOLDERS)).flatmap(
    lambda name: st.tuples(
        st.just(name),
        st.integers(9 * 60, 18 * 60),
        st.lists(
            st.tuples(
                st.integers(0, 40),
                st.integers(0, 20),
                wishes(begun(name)[0]),
            ),
            min_size=1,
            max_size=12,
        ),
    )
)


def said(cook: Cook, wish: Wish, by: str, now: datetime) -> Cook:
    """Decide a wish; what the crew can put right is answered, anything else is a bug."""
    try:
        check_right(cook, wish, by)
        made = decide(cook, wish, by=by, at=now, now=now)
    except KitchenError:
        return cook
    assert made.answer is None or len(made.answer.lines) <= 4
    assert made.answer is None or len(made.answer.choices) <= 4
    return booked(cook, made.facts, by, now)


def rung(cook: Cook, now: datetime) -> Cook:
    """Make every call that is due."""
    for _ in range(20):
        ripe = due(calls_owed(cook), now)
        if not ripe:
            return cook
        cook = booked(cook, tuple(Dated(now, CallMade(c)) for c in ripe), "bot", now)
    raise AssertionError("calls never end")


FOOD_CLOCKS = ("box", "out", "pink")
"""What stands warm is called for after the work on it is over: that is when its clock runs."""


def checked(cook: Cook) -> None:
    owed = calls_owed(cook)
    keys = [call.key for call in owed]
    assert len(keys) == len(set(keys))
    assert not set(keys) & set(cook.calls)  # owed is what was never made
    over = {Phase.OVER, Phase.GONE}
    late_news = {"cool", "timer", "digest", *FOOD_CLOCKS}
    assert [c.key for c in owed if cook.phase(c.about) in over and c.kind not in late_news] == []
    crew = {p.id for p in cook.cards.crew} if cook.cards else set()
    for open_ in cook.questions.values():
        assert set(open_.question.to) <= crew
        assert open_.question.choices


def tapped(cook: Cook, now: datetime) -> None:
    """Every choice of every open question is answered: done, refused in words or asked again."""
    for open_ in cook.questions.values():
        if open_.answered is not None:
            continue
        for number in range(1, len(open_.question.choices) + 1):
            for person in open_.question.to:
                said(cook, Choose(number, open_.question.key), person, now)


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(STEPS)
def test_whatever_goes_wrong_in_whatever_order_the_day_goes_on(
    steps: tuple[str, int, list[tuple[int, int, Wish]]],
) -> None:
    name, minute, happenings = steps
    cards, cook = begun(name)
    now = cards.event.instant(Moment(0, 0, 0)) + timedelta(minutes=minute)
    people = [*(p.id for p in cards.crew), CLIENT]
    for gap, who, wish in happenings:
        now += timedelta(minutes=gap)
        cook = rung(cook, now)
        cook = said(cook, wish, people[who % len(people)], now)
        checked(cook)
    tapped(cook, now)
    assert replay(cook.entries).slips == cook.slips
