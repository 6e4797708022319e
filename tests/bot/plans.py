"""Hand-made plans of the two bundled events, at the times a cook wrote down, without a planner."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache

from bot.cards import read_event
from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from core.facts import (
    CardsTaken,
    CookStarted,
    Entry,
    Fact,
    PlanAdopted,
    ReadingTaken,
    Report,
    StepReported,
    Undone,
    VerdictGiven,
)
from core.model import (
    Bottleneck,
    Buy,
    Cards,
    Finding,
    Load,
    Make,
    Moment,
    Pack,
    Place,
    Plan,
    Profile,
    Qty,
    Reading,
    Step,
    StepRun,
    Task,
    Tied,
    Verdict,
    say,
)


@cache
def wedding() -> Cards:
    return read_event(GOLDEN_WEDDING)


@cache
def harvest() -> Cards:
    return read_event(HARVEST_SUPPER)


def at(cards: Cards, clock: str, day: int = 0) -> datetime:
    """Return a site time; '13:18:30' has seconds."""
    hour, minute, *rest = (int(x) for x in clock.split(":"))
    return cards.event.instant(Moment(day, hour, minute)) + timedelta(seconds=sum(rest))


def run(cards: Cards, key: str, start: str, end: str, **more: object) -> StepRun:
    """Return a run whose key says dish, load, step and batch: 'lamb-rump/A/sear/2'."""
    dish_id, name, step_id, *batch = key.split("/")
    dish = cards.dish(dish_id)
    step: Step = next(s for s in dish.steps if s.id == step_id)
    begin = at(cards, start)
    station = more.pop("station", step.station)
    found = StepRun(
        key=key,
        dish=dish_id,
        load=name,
        unit=".".join([name, *batch]),
        index=dish.steps.index(step),
        step=step_id,
        do=step.do,
        count=0,
        station=station,  # type: ignore[arg-type]
        start=begin,
        end=at(cards, end),
        checks=tuple((begin + timedelta(minutes=c.after_min), c.expect_c) for c in step.checks),
        turns=tuple(begin + timedelta(minutes=m) for m in step.turns_min),
        tied=step.tied,
        temp_c=step.temp_c,
        until_core_c=step.until_core_c,
        on_fire=step.temp_c is not None,
    )
    return replace(found, **more)  # type: ignore[arg-type]


def load(cards: Cards, count: int, needed_by: str, hold_min: float, *runs: StepRun) -> Load:
    """Return the load these runs belong to; it goes on its first fire."""
    fire = next(r for r in runs if r.on_fire)
    ready, needed = max(r.end for r in runs), at(cards, needed_by)
    name = runs[0].load
    return Load(
        id=f"{fire.dish}/{name}",
        number=name if name.startswith("L") else "L1",
        name=name,
        dish=fire.dish,
        count=count,
        station=fire.station or "",
        on=fire.start,
        off=fire.end,
        ready=ready,
        needed_by=needed,
        slack_min=(needed - ready).total_seconds() / 60,
        hold_min=hold_min,
        runs=runs,
        crew=fire.crew,
    )


# ------------------------------------------------------------------ the golden wedding


def _lamb(name: str, smoke: tuple[str, str], sears: list[tuple[str, str]], rest: str) -> Load:
    cards, key = wedding(), f"lamb-rump/{name}"
    runs = [run(cards, f"{key}/smoke", *smoke, count=28, crew=("bo",))]
    for n, (start, end) in enumerate(sears, 1):
        runs.append(run(cards, f"{key}/sear/{n}", start, end, count=14, crew=("bo",)))
    runs.append(run(cards, f"{key}/rest", sears[-1][1], rest, count=28, station="hot1"))
    carve = run(cards, f"{key}/carve", "13:47", "13:59", count=28, crew=("ana", "dev"))
    return load(cards, 28, "14:00", 10, *runs, carve)


@cache
def wedding_plan() -> Plan:
    """Return the wedding's plan A, from lighting to platters at 14:00."""
    cards = wedding()
    celeriac = load(
        cards,
        20,
        "14:00",
        10,
        run(
            cards,
            "celeriac/L1/smoke",
            "10:05",
            "11:45",
            count=20,
            crew=("bo",),
            station="smoker",
            temp_c=115.0,
            on_fire=True,
        ),
        run(
            cards,
            "celeriac/L1/sear",
            "13:40",
            "13:46",
            count=20,
            crew=("bo",),
            station="grill",
            on_fire=True,
        ),
    )
    lamb_a = _lamb("A", ("12:08", "13:10"), [("13:12", "13:18:30"), ("13:18:30", "13:25")], "13:47")
    lamb_b = _lamb("B", ("12:22", "13:24"), [("13:26", "13:32:30"), ("13:32:30", "13:39")], "13:47")
    tasks = (
        Task("light/smoker", "light", "smoker", at(cards, "09:30"), at(cards, "10:05"),
             crew=("bo",), temp_c=115.0),
        Task("light/grill", "light", "grill", at(cards, "12:25"), at(cards, "13:10"),
             crew=("bo",), temp_c=300.0),
        Task("leek-potato-salad/L1/dress", "dress", "bench", at(cards, "13:30"),
             at(cards, "13:40"), dish="leek-potato-salad", step="dress", crew=("carmen",),
             tied=Tied.PLATES),
        Task("lamb-rump/A/brine", "brine", "tub1", at(cards, "15:00", -1), at(cards, "18:00", -1),
             dish="lamb-rump", load="A", step="brine", count=28, crew=("carmen",),
             never_after=at(cards, "20:00", -1), tied=Tied.WORLD),
    )  # fmt: skip
    smoke = say("Smoker: 2 loads of {count}.", count=Qty(28, "pieces", 0))
    return Plan(
        letter="A",
        heads=60,
        plates_at=at(cards, "14:00"),
        loads=(celeriac, lamb_a, lamb_b),
        tasks=tasks,
        bottleneck=Bottleneck("grill", smoke, 120.0, 56.0),
        make=(Make("Brine concentrate", 2.52, "L", "lamb-rump"), Make("Lamb rump", 56, "pieces")),
        buy=(Buy("lamb rump", 13.692, "kg", ((Pack(5, "kg", 84.5), 3),), 1.308),),
        fixes=(say("Light the smoker 10 min earlier."),),
        findings=(
            Finding("quality", say("Celeriac holds {held}.", held=Qty(115, "min")), rule="hold"),
            Finding(
                "safety",
                say("Raw garlic in oil: same day only."),
                Verdict.NOT_YET,
                "garlic-oil",
                Profile.UK,
                "house",
                "C",
                at(cards, "16:15"),
                ("ana",),
            ),
        ),
    )


# ------------------------------------------------------------------ the harvest supper


def _collar(
    name: str, pit: str, on: str, off: str, sears: str, ready: str, needed: tuple[str, float]
) -> Load:
    cards, key = harvest(), f"pork-collar/{name}"
    keeper = {"P1": "teo", "P2": "iker"}[pit]
    runs = [run(cards, f"{key}/smoke", on, off, count=72, crew=(keeper,), station=pit)]
    start = at(cards, sears)
    for n in range(1, 4):
        grill, batch = ("G1", "rafa") if n % 2 else ("G2", "jo"), 24
        begin = start + timedelta(minutes=4.5 * ((n - 1) // 2))
        clock = cards.event.local(begin).strftime("%H:%M:%S")
        end = cards.event.local(begin + timedelta(minutes=4.5)).strftime("%H:%M:%S")
        runs.append(
            run(cards, f"{key}/sear/{n}", clock, end, count=batch, station=grill[0],
                crew=(grill[1],))
        )  # fmt: skip
    clock = cards.event.local(start + timedelta(minutes=9)).strftime("%H:%M")
    runs.append(run(cards, f"{key}/rest", clock, ready, count=72, station="hot1"))
    return load(cards, 72, *needed, *runs)


@cache
def harvest_plan() -> Plan:
    """Return the supper's plan A: the printed load table, lanes open at 19:00."""
    cards = harvest()
    mushrooms = load(
        cards,
        88,
        "19:00",
        63,
        run(cards, "portobello-lentil/L1/smoke", "16:40", "16:58", count=88, crew=("iker",),
            station="P2", on_fire=True, temp_c=110.0),
        run(cards, "portobello-lentil/L1/sear/1", "18:43", "18:46", count=44, crew=("rafa",),
            station="G1", on_fire=True, temp_c=280.0),
        run(cards, "portobello-lentil/L1/sear/2", "18:43", "18:46", count=44, crew=("jo",),
            station="G2", on_fire=True, temp_c=280.0),
    )  # fmt: skip
    tasks = [
        Task(f"light/{pit}", "light", pit, at(cards, "15:30"), at(cards, "16:40"), crew=(who,),
             temp_c=110.0)
        for pit, who in (("P1", "teo"), ("P2", "iker"))
    ]  # fmt: skip
    tasks += [
        Task(f"light/{grill}", "light", grill, at(cards, "17:10"), at(cards, "17:55"), crew=(who,),
             temp_c=280.0)
        for grill, who in (("G1", "rafa"), ("G2", "jo"))
    ]  # fmt: skip
    tasks += [
        Task("aubergine-bean-salad/L1/dress", "dress", "bench", at(cards, "18:15"),
             at(cards, "18:35"), dish="aubergine-bean-salad", step="dress", crew=("lucia", "pau")),
        Task("open/lanes", "open", "lane-1a", at(cards, "19:00"), at(cards, "19:53"),
             crew=("olga",)),
        Task("pork-collar/all/brine", "brine", "tub1", at(cards, "14:00"), at(cards, "15:30"),
             dish="pork-collar", step="brine", count=300, crew=("nuria",),
             never_after=at(cards, "16:30"), tied=Tied.WORLD),
    ]  # fmt: skip
    return Plan(
        letter="A",
        heads=320,
        plates_at=at(cards, "19:00"),
        loads=(
            mushrooms,
            _collar("a1", "P1", "17:10", "17:55", "17:57", "18:10", ("19:00", 63)),
            _collar("b1", "P2", "17:36", "18:21", "18:23", "18:36", ("19:13", 51)),
            _collar("a2", "P1", "18:02", "18:47", "18:49", "19:02", ("19:27", 39)),
            _collar("b2", "P2", "18:28", "19:13", "19:15", "19:28", ("19:41", 26)),
        ),
        tasks=tuple(tasks),
    )


# ------------------------------------------------------------------ a day's log


def wedding_log() -> tuple[Entry, ...]:
    """Return a morning at the wedding: readings, one taken back, a box too warm, food binned."""
    cards = wedding()

    def core(value: float, clock: str) -> tuple[str, str, Fact]:
        reading = Reading(value, Place.CORE, at(cards, clock), "bo", "lamb-rump/A/smoke",
                          instrument="red")  # fmt: skip
        return clock, "bo", ReadingTaken(reading)

    def box(value: float, clock: str, place: Place) -> tuple[str, str, Fact]:
        reading = Reading(value, place, at(cards, clock), "carmen", "box3", instrument="blue")
        return clock, "carmen", ReadingTaken(reading)

    warm = Finding(
        "safety", say("Box 3 at {temp}: probe a tub.", temp=Qty(9.5, "°C")), Verdict.NOT_YET,
        "cold-hold", Profile.UK, "FSA", "C", at(cards, "14:40"), ("ana",), "box3",
    )  # fmt: skip
    said: list[tuple[str, str, Fact]] = [
        ("07:30", "ana", CookStarted("golden-wedding-1")),
        ("07:30", "ana", CardsTaken({"event.toml": "id = 'golden-wedding'"}, cards)),
        ("07:30", "bot", PlanAdopted(wedding_plan(), 2, say("first plan"))),
        box(9.5, "11:20", Place.AIR),
        ("11:20", "bot", VerdictGiven(warm, "tables-1")),
        box(4.6, "11:24", Place.TUB),
        ("12:08", "bo", StepReported("lamb-rump/A/smoke", Report.START)),
        core(83.0, "13:00"),
        ("13:01", "bo", Undone((8,))),
        core(38.0, "13:00"),
        core(46.0, "13:10"),
        ("13:10", "bo", StepReported("lamb-rump/A/smoke", Report.DONE)),
        ("13:20", "ana", StepReported("lamb-rump/A/sear/1", Report.DISCARD, count=2)),
    ]
    late = {12: timedelta(minutes=9)}
    return tuple(
        Entry(n, at(cards, clock), at(cards, clock) + late.get(n, timedelta()), by, fact)
        for n, (clock, by, fact) in enumerate(said, 1)
    )
