"""Plans and re-plans of days nobody wrote down: whatever comes out, the judge finds nothing."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from core.errors import CannotPlanError
from core.model import (
    Batch,
    Cards,
    Dish,
    Event,
    Hold,
    Kit,
    MenuItem,
    Moment,
    Per,
    Person,
    Piece,
    Progress,
    Role,
    Service,
    Size,
    Station,
    StationKind,
    Step,
    Tied,
)
from core.planner import check, plan, replan

FEW = settings(
    max_examples=30,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


@st.composite
def dishes(draw: st.DrawFn, name: str) -> Dish:
    """A dish of up to two fires with waits around them."""
    steps: list[Step] = []
    if draw(st.booleans()):
        most = draw(st.sampled_from([None, 120.0]))
        per = draw(st.sampled_from([Per.LOT, Per.LOAD]))
        steps.append(
            Step("brine", "brine", "tub", per=per, lot=40, min_min=40, ideal_min=60, max_min=most)
        )
    if draw(st.booleans()):
        steps.append(
            Step("rub", "rub", "bench", per=Per.PIECE, ideal_min=0.2, hands=1, shared_by=2)
        )
    two = draw(st.booleans())
    if two:
        gap_max = draw(st.sampled_from([None, 10.0, 15.0]))
        steps.append(
            Step("smoke", "smoke", "smoker", temp_c=110, gap_min=2, gap_max_min=gap_max,
                 ideal_min=draw(st.sampled_from([30.0, 45.0, 62.0])))
        )  # fmt: skip
    if draw(st.booleans()) or not two:
        hot = draw(st.sampled_from([200.0, 280.0]))
        steps.append(
            Step("sear", "sear", "grill", temp_c=hot, ideal_min=draw(st.sampled_from([4.5, 6.0])),
                 hands=1, skill="grill")
        )  # fmt: skip
    if draw(st.booleans()):
        steps.append(Step("rest", "rest", "hot_box", min_min=3, ideal_min=6, max_min=30))
    if draw(st.booleans()):
        before = draw(st.sampled_from([None, 15.0]))
        steps.append(
            Step("slice", "slice", "bench", per=Per.PIECE, ideal_min=0.2, hands=1, shared_by=2,
                 tied=Tied.PLATES, before_plates_min=before)
        )  # fmt: skip
    return Dish(
        name,
        name,
        Batch(10, "pieces"),
        piece=Piece(0.2, 2.5, Size(15, 11)),
        fits={"smoker": draw(st.integers(6, 15)), "grill": draw(st.integers(12, 40))},
        steps=tuple(steps),
        hold=Hold(quality_max_min=draw(st.sampled_from([None, 45.0, 75.0]))),
    )


@st.composite
def days(draw: st.DrawFn) -> Cards:
    """An event of one or two dishes on a few fires."""
    names = ["one", "two"][: draw(st.integers(1, 2))]
    menu = tuple(MenuItem(name, share=1 / len(names), spare=0.0) for name in names)
    pace = draw(st.sampled_from([None, 3.0, 6.0]))
    curve = ((Moment(0, 18, 10), 20.0), (Moment(0, 18, 40), 80.0), (Moment(0, 19, 0), 100.0))
    service = Service(
        Moment(0, 18, 0),
        per_min=pace,
        at_once=pace is None and draw(st.booleans()),
        curve=curve if pace is None else (),
    )
    if service.at_once:
        service = replace(service, curve=())
    event = Event(
        "any", "Any", date(2026, 7, 4), "Europe/Madrid", draw(st.integers(8, 260)), menu,
        (service,), slack_min=draw(st.sampled_from([None, 0.0, 30.0])),
    )  # fmt: skip
    by_rack = draw(st.booleans())
    shift = ((Moment(0, 8, 0), Moment(0, 23, 0)),)
    stations = (
        *(
            Station(f"P{n}", StationKind.SMOKER, "P", racks=3, heat_up_min=30,
                    load_by="rack" if by_rack else "all", recovery_min=5,
                    swap_min=draw(st.sampled_from([0.0, 5.0])))
            for n in range(1, draw(st.integers(1, 3)) + 1)
        ),
        *(
            Station(f"G{n}", StationKind.GRILL, "G", heat_up_min=40)
            for n in range(1, draw(st.integers(1, 2)) + 1)
        ),
        *(Station(f"tub{n}", StationKind.TUB, "tub", litres=50) for n in (1, 2)),
        Station("bench", StationKind.TABLE, "bench", places=3),
        Station("hot", StationKind.HOT_BOX, "hot"),
    )  # fmt: skip
    crew = tuple(
        Person(f"p{n}", f"P{n}", Role.PIT if n < 2 else Role.CREW,
               skills=("grill",) if n < 3 else (), shifts=shift)
        for n in range(draw(st.integers(3, 6)))
    )  # fmt: skip
    found = tuple(draw(dishes(name)) for name in names)
    return Cards(event, Kit(stations), crew, found)


@FEW
@given(days())
def test_whatever_is_planned_the_judge_finds_nothing(cards: Cards) -> None:
    try:
        made = plan(cards)
    except CannotPlanError:
        return
    assert check(cards, made) == ()


@FEW
@given(days(), st.floats(0.1, 0.9), st.integers(0, 12))
def test_whatever_slips_the_rest_is_sound(cards: Cards, part: float, late: int) -> None:
    try:
        first = plan(cards)
    except CannotPlanError:
        return
    runs = sorted(first.runs(), key=lambda r: (r.start, r.key))
    if not runs:
        return
    now = runs[int(part * len(runs))].start
    by = timedelta(minutes=late)
    started = {r.key: r.start for r in runs if r.start <= now}
    ended = {r.key: r.end for r in runs if r.end <= now}
    running = {r.key: r.end + by for r in runs if r.start <= now < r.end and r.on_fire}
    made = replan(cards, first, Progress(now, started, ended, running), letter="B", reason="late")
    broken = {v.rule for v in check(cards, made, now + timedelta(minutes=1))}
    assert broken <= {"gap"}  # what is on a fire too long may leave its batches waiting


@FEW
@given(days(), st.integers(10, 60))
def test_more_heads_before_anything_is_lit_are_sound_too(cards: Cards, more: int) -> None:
    heads = cards.event.heads + more
    now = cards.event.instant(Moment(0, 8, 0))
    try:
        first = plan(cards)
        made = replan(cards, first, Progress(now), heads=heads, letter="B", reason="more")
    except CannotPlanError:
        return
    assert check(cards, made, now) == ()
