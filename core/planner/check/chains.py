"""Every step is there, in order, as long as its card says, and where plates and pins want it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise

from core.model import Dish, Per, Pin, Step, Tied
from core.planner.check.day import SLACK_MIN, Day, Job, Violation

_COLD_AND_WIND = 1.5  # no weather rule stretches a fire step further


def chain_violations(day: Day) -> Iterator[Violation]:
    """Yield what is wrong with the steps of each load and each dish."""
    for load in day.plan.loads:
        yield from _load(day, load.dish, load.name, load.count)
    for dish_id in sorted({job.dish for job in day.jobs}):
        yield from _whole(day, dish_id)
    for job in day.jobs:
        if day.judged(job):
            yield from _length(day, job)
            yield from _plates(day, job)
            yield from _day(day, job)
    yield from _pins(day)
    yield from _cards_in_cards(day)


def _load(day: Day, dish_id: str, name: str, count: int) -> Iterator[Violation]:
    """The load's own steps: none missing, pieces the same, each after the last."""
    mine = [j for j in day.jobs if j.dish == dish_id and j.load == name]
    indices = sorted({j.index for j in mine})
    usual = [n for n, s in enumerate(day.dish(dish_id).steps) if s.instead_of is None]
    about = f"{dish_id}/{name}"
    if indices:
        for index in usual:
            missing = index > indices[0] and index not in indices
            if missing and not _another_way(day.dish(dish_id), index, indices):
                step = day.dish(dish_id).steps[index].id
                yield Violation("step missing", about, f"no {step}")
    for index in indices:
        row = [j for j in mine if j.index == index]
        total = sum(j.count for j in row)
        if total != count:
            yield Violation("pieces", about, f"{row[0].step.id} has {total} of {count}")
    for before, after in pairwise(indices):
        firsts = [j for j in mine if j.index == before]
        for job in (j for j in mine if j.index == after):
            own = [f for f in firsts if f.unit == job.unit]
            yield from _gap(day, own or firsts, job)


def _another_way(dish: Dish, index: int, indices: list[int]) -> bool:
    """Return whether a step was done another way, or that way had it done already."""
    step = dish.steps[index]
    for other in (dish.steps[n] for n in indices if dish.steps[n].instead_of is not None):
        hot = step.until_core_c is not None and other.until_core_c is not None
        if other.instead_of == step.id or (
            hot and (step.until_core_c or 0.0) <= (other.until_core_c or 0.0)
        ):
            return True
    return False


def _gap(day: Day, before: list[Job], job: Job) -> Iterator[Violation]:
    """After the last of those before it, and no longer after any than their card allows."""
    if not day.judged(job):
        return
    step = before[0].step
    last = max(b.end for b in before)
    if job.start < last + step.gap_min - SLACK_MIN:
        yield Violation(
            "order", job.key, f"starts {last - job.start:.1f} min before {step.id} ends"
        )
    first = min(b.end for b in before)
    on_already = min(b.start for b in before) < day.now  # what is half done has to be finished
    said = on_already and any(f.about == job.key for f in day.plan.findings)
    too_long = step.gap_max_min is not None and job.start > first + step.gap_max_min + SLACK_MIN
    if too_long and not said:
        yield Violation("gap", job.key, f"{job.start - first:.1f} min after {step.id}")
    fire = any(day.on_fire(b) for b in before)
    if fire and day.waits(job.step) and job.start > last + step.gap_min + SLACK_MIN:
        yield Violation("gap", job.key, f"{step.id} is over and its wait has not begun")


def _whole(day: Day, dish_id: str) -> Iterator[Violation]:
    """The steps no load runs through: one after the other, and before the first load's own."""
    mine = [j for j in day.jobs if j.dish == dish_id and not j.load]
    loads = [j for j in day.jobs if j.dish == dish_id and j.load]
    for before, after in pairwise(sorted({j.index for j in mine})):
        firsts = [j for j in mine if j.index == before]
        for job in (j for j in mine if j.index == after):
            own = [f for f in firsts if f.unit == job.unit]
            yield from _gap(day, own or firsts, job)
    if mine and loads:
        last = max(j.index for j in mine)
        yield from _taken(day, [j for j in mine if j.index == last], loads)


def _taken(day: Day, lots: list[Job], loads: list[Job]) -> Iterator[Violation]:
    """No load begins with more pieces than have come through the work before the loads."""
    firsts: dict[str, Job] = {}
    for job in sorted(loads, key=lambda j: (j.start, j.index)):
        firsts.setdefault(job.load, job)
    counted = all(j.count for j in lots)
    taken = 0
    for job in firsts.values():
        taken += sum(j.count for j in loads if (j.load, j.index) == (job.load, job.index))
        done = [j for j in lots if j.end <= job.start + SLACK_MIN]
        short = sum(j.count for j in done) < taken if counted else len(done) < len(lots)
        if short and day.judged(job):
            yield Violation("order", job.key, f"starts before {lots[0].step.id} of its pieces ends")


def _length(day: Day, job: Job) -> Iterator[Violation]:
    step = job.step
    if step.never_over_min is not None and job.minutes > step.never_over_min + SLACK_MIN:
        yield Violation("never over", job.key, f"{job.minutes:.1f} of {step.never_over_min} min")
    if day.waits(step):
        least = step.min_min if step.min_min is not None else step.ideal_min
        if least is not None and job.minutes < least - SLACK_MIN:
            yield Violation("too short", job.key, f"{job.minutes:.1f} of {least} min")
        yield from _last_wait(day, job)
        return
    ideal = step.ideal_min or step.min_min or step.max_min or 0.0
    if step.per is Per.PIECE:
        ideal *= job.count / max(len(job.crew), 1)
        if len(job.crew) > max(step.shared_by, step.hands):
            yield Violation("hands", job.key, f"{len(job.crew)} share it")
    least = ideal if step.per is Per.PIECE or step.min_min is None else step.min_min
    if job.minutes < least - SLACK_MIN:
        yield Violation("too short", job.key, f"{job.minutes:.1f} of {least:.1f} min")
    longest = max(ideal, step.in_wind_min or 0.0, step.max_min or 0.0)
    if job.minutes > longest * _COLD_AND_WIND + SLACK_MIN:
        yield Violation("too long", job.key, f"{job.minutes:.1f} of {longest:.1f} min")


def _last_wait(day: Day, job: Job) -> Iterator[Violation]:
    """The last rest is over in its time: what comes after it is holding, and has its own limit."""
    steps = day.dish(job.dish).steps
    later = [s for s in steps[job.index + 1 :] if s.instead_of is None]
    times = (job.step.max_min, job.step.ideal_min, job.step.min_min)
    longest = next((minutes for minutes in times if minutes is not None), None)
    if job.load and not later and longest is not None and job.minutes > longest + SLACK_MIN:
        yield Violation("too long", job.key, f"{job.minutes:.1f} of {longest} min")


def _plates(day: Day, job: Job) -> Iterator[Violation]:
    """Work before plates is done by its plates, and starts as long before as its card says."""
    needed = _needed(day, job)
    if job.step.tied is Tied.PLATES and job.end > needed + SLACK_MIN and not _late_said(day, job):
        yield Violation("plates", job.key, f"ends {job.end - needed:.1f} min after plates")
    before = job.step.before_plates_min
    said = any(f.about == job.key for f in day.plan.findings)
    if before is None or said or _late_said(day, job):
        return
    row = [j for j in day.jobs if (j.dish, j.index) == (job.dish, job.index)]
    together = len({_needed(day, j) for j in row}) == 1  # all at once: the first one counts
    if together and job.start > min(j.start for j in row):
        return
    if job.start > needed - before + SLACK_MIN:
        yield Violation(
            "before plates", job.key, f"{needed - job.start:.1f} of {before} min before"
        )


def _needed(day: Day, job: Job) -> float:
    for load in day.plan.loads:
        if load.dish == job.dish and load.name == job.load:
            return day.minute(load.needed_by)
    rows = [
        s
        for s in day.cards.event.serve
        if not s.leftovers and (not s.dishes or job.dish in s.dishes)
    ]
    starts = [day.minute(day.cards.event.instant(s.start)) + day.shift for s in rows]
    return min(starts, default=0.0)


def _late_said(day: Day, job: Job) -> bool:
    return any(f.kind == "late" and f.about.startswith(f"{job.dish}/") for f in day.plan.findings)


def _day(day: Day, job: Job) -> Iterator[Violation]:
    if job.step.day is None or day.since is not None:
        return
    begins = day.plan.plates_at + timedelta(minutes=job.start)
    on = (day.cards.event.local(begins).date() - day.cards.event.day).days
    if on != job.step.day:
        yield Violation("day", job.key, f"on day {on}, not {job.step.day}")


def _pins(day: Day) -> Iterator[Violation]:
    """What the chef insists on, unless the plan says that it cannot be kept."""
    if day.since is not None:
        return
    said = {f.about for f in day.plan.findings}
    for pin in day.cards.event.pins:
        step = _pinned_step(day, pin.dish, pin.step)
        names = {
            x.name
            for x in day.plan.loads
            if x.dish == pin.dish and pin.load in {x.number, x.name, None}
        }
        jobs = [
            j
            for j in day.jobs
            if j.dish == pin.dish and j.step is step and (not j.load or j.load in names)
        ]
        if any(j.key in said for j in jobs):
            continue
        yield from _pinned_start(day, pin, jobs)
        yield from _pinned_station(day, pin, jobs)


def _pinned_start(day: Day, pin: Pin, jobs: list[Job]) -> Iterator[Violation]:
    """Of a load's batches the first, of its lots as many as there are tubs."""
    if pin.start is None or not jobs:
        return
    wish = day.minute(day.cards.event.instant(pin.start))
    for load in sorted({j.load for j in jobs}):
        row = [j for j in jobs if j.load == load]
        tubs = len(day.cards.kit.matching(row[0].step.station or "")) or 1
        owed = 1 if load else min(len(row), tubs)
        kept = sum(abs(j.start - wish) <= SLACK_MIN for j in row)
        if kept < owed:
            yield Violation("pin", row[0].key, f"{kept} of {owed} as pinned")


def _pinned_station(day: Day, pin: Pin, jobs: list[Job]) -> Iterator[Violation]:
    if pin.station is None:
        return
    allowed = {s.id for s in day.cards.kit.matching(pin.station)}
    for job in jobs:
        if job.station is not None and job.station not in allowed:
            yield Violation("pin", job.key, f"on {job.station}")


def _pinned_step(day: Day, dish_id: str, step_id: str | None) -> Step | None:
    dish = day.dish(dish_id)
    if step_id is not None:
        return dish.step(step_id)
    loads = [j for j in day.jobs if j.dish == dish_id and j.load and day.on_fire(j)]
    return min(loads, key=lambda j: j.index).step if loads else None


def _cards_in_cards(day: Day) -> Iterator[Violation]:
    """What another card makes is ready before the dish that has it is served."""
    for dish in day.cards.dishes:
        mine = [j for j in day.jobs if j.dish == dish.id]
        if not mine:
            continue
        served = max(j.end for j in mine)
        for used in dish.ingredients:
            made = [j for j in day.jobs if used.card is not None and j.dish == used.card]
            if made and max(j.end for j in made) > served + SLACK_MIN:
                yield Violation("card", dish.id, f"{used.card} is made after it is used")
