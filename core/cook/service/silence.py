"""Who hears nothing, and when: quiet hours, mute, budgets.

Quiet hours move a call to their end, before it is owed: a look at 23:00 is told at 06:30. Mute and
budget decide at the instant it falls due: the call is made, but a person in its `quiet` is not
rung; the room reads it, silent. None of them holds back an alarm or what only that person can do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, time, timedelta

from core.cook.decision import Notice
from core.cook.state import Cook
from core.model import Call, Cards, Lead, Moment, Person, Role, Sound

NIGHT, MORNING = time(22, 0), time(6, 30)
AFTER_UNTIL = Moment(1, 11, 0)
"""Quiet hours of the prep week, and when the crew is spoken to again after the event: both common
practice."""

BUDGET_BEFORE, BUDGET_DURING = 12, 6
HOUR = timedelta(hours=1)
"""Pushes a person gets in an hour, before service and during it; leads get what there is."""

COLD_CHAIN = frozenset({"cool", "limit", "box", "out", "pink", "gap", "label"})
WATCH = frozenset({"start", "end", "tick"})
OWN = frozenset({"timer", "review", "digest"})
"""Calls somebody asked for, or that are for nobody else."""

CLEAR_UP = timedelta(hours=2)
"""How long after the last plates a crew without any card on it is still at work."""

ROOM = ("room",)


# ------------------------------------------------------------------ quiet hours

PREP_DAYS = 7
Window = tuple[datetime, datetime]


def quiet_windows(cook: Cook) -> tuple[Window, ...]:
    """Return the stretches nobody is spoken to: nights of the prep week, and after the event."""
    cards = cook.cards
    if cards is None:
        return ()
    event = cards.event
    nights = tuple(
        (
            event.instant(Moment(d, NIGHT.hour, NIGHT.minute)),
            event.instant(Moment(d + 1, MORNING.hour, MORNING.minute)),
        )
        for d in range(-PREP_DAYS - 1, 0)
    )
    over = cook.entries[-1].heard if cook.closed and cook.entries else over_at(cards)
    return (*nights, (over, max(over, event.instant(AFTER_UNTIL))))


def quiet_until(windows: Sequence[Window], at: datetime) -> datetime | None:
    """Return until when an instant lies in quiet hours; None in working hours."""
    return next((end for start, end in windows if start <= at < end), None)


def over_at(cards: Cards) -> datetime:
    """Return when the event is over for its crew: off the site, else the last shift's end."""
    event = cards.event
    if event.travel.off_site is not None:
        return event.instant(event.travel.off_site)
    ends = [end for p in cards.crew for _, end in p.shifts if end.day >= 0]
    if ends:
        return event.instant(max(ends))
    last = max((s.until or s.start for s in event.serve), default=Moment(0, 22, 0))
    return event.instant(last) + CLEAR_UP


def on_shift(cards: Cards, person: Person, at: datetime) -> bool:
    """Say whether a person works at an instant; one without shifts on the card has no watch."""
    spans = ((cards.event.instant(a), cards.event.instant(b)) for a, b in person.shifts)
    return any(a <= at <= b for a, b in spans)


def quieted(cook: Cook, calls: Iterable[Call]) -> Iterator[Call]:
    """Yield calls as the night leaves them: moved to the morning, or to who is awake for them."""
    windows = quiet_windows(cook)
    for call in calls:
        end = quiet_until(windows, call.at)
        yield call if end is None or call.kind in OWN else _at_night(cook, call, end)


def _at_night(cook: Cook, call: Call, end: datetime) -> Call:
    cards = cook.cards
    if cards is None:
        return call
    awake = [p for p in map(cards.person, call.to) if p is not None and on_shift(cards, p, call.at)]
    if awake and (call.kind in COLD_CHAIN or call.kind in WATCH):
        return replace(call, to=tuple(p.id for p in awake))
    if call.kind in COLD_CHAIN:
        night = cards.leading(Lead.NIGHT) or cards.chef
        return replace(call, to=(night.id,)) if night else call
    return replace(call, at=end, sound=min(call.sound, Sound.ONCE))


# ------------------------------------------------------------------ mute and budgets


def hushed(cook: Cook, ripe: Sequence[Call], now: datetime) -> tuple[Call, ...]:
    """Return the calls that are due, each with the people it does not ring."""
    people = dict.fromkeys(p for call in ripe for p in call.to if p not in ROOM)
    quiet: dict[str, list[str]] = {call.key: [] for call in ripe}
    for person in people:
        mine = [c for c in ripe if person in c.to]
        for call in _held(cook, mine, person, now):
            quiet[call.key].append(person)
    return tuple(replace(c, quiet=tuple(quiet[c.key])) if quiet[c.key] else c for c in ripe)


def _held(cook: Cook, mine: Sequence[Call], person: str, now: datetime) -> list[Call]:
    """Return which of a person's calls do not ring; a push they get anyway carries the others."""
    may_wait = [c for c in mine if not must_ring(cook, c, person)]
    if is_muted(cook, person, now):
        return may_wait
    pushed = [c for c in mine if c.sound is Sound.ONCE]
    rings_anyway = any(c not in may_wait for c in pushed)
    if rings_anyway or not pushed or is_lead(cook, person):
        return []
    return may_wait if pushes(cook, person, now) >= budget(cook, now) else []


def must_ring(cook: Cook, call: Call, person: str) -> bool:
    """Say whether a call rings whatever was asked for: an alarm, or nobody else can do it."""
    return call.sound is Sound.ALARM or call.must or call.kind in OWN or _alone(cook, call, person)


def _alone(cook: Cook, call: Call, person: str) -> bool:
    """Say whether the job wants a skill that only this person has among those at work."""
    cards, plan = cook.cards, cook.plan
    if cards is None or plan is None or call.kind not in {"start", "tick"}:
        return False
    dish = next((d for d in cards.dishes if call.about.startswith(f"{d.id}/")), None)
    step = dish.step(call.about.split("/")[-1]) or (
        next((s for s in dish.steps if f"/{s.id}/" in f"{call.about}/"), None)
    ) if dish else None  # fmt: skip
    if step is None or step.skill is None:
        return False
    able = [p for p in cards.crew if step.skill in p.skills and on_shift(cards, p, call.at)]
    return [p.id for p in able] == [person]


def is_muted(cook: Cook, person: str, now: datetime) -> bool:
    """Say whether a person asked for silence and it lasts."""
    until = cook.service.muted.get(person)
    return until is not None and now < until


def is_lead(cook: Cook, person: str) -> bool:
    """Say whether a person leads: their budget is what there is to say."""
    someone = cook.cards.person(person) if cook.cards else None
    leads = {Lead.PIT, Lead.COLD, Lead.FRONT}
    return someone is not None and (someone.role is Role.CHEF or bool(leads & {*someone.leads}))


def budget(cook: Cook, now: datetime) -> int:
    """Return how many pushes an hour a person gets now."""
    return BUDGET_DURING if in_service(cook, now) else BUDGET_BEFORE


def in_service(cook: Cook, now: datetime) -> bool:
    """Say whether plates go out now."""
    if cook.cards is None or cook.plates_at is None:
        return False
    event = cook.cards.event
    ends = [event.instant(s.until or s.start) for s in event.serve]
    shift = cook.plates_at - event.instant(event.serve[0].start) if event.serve else timedelta()
    return cook.plates_at <= now <= max(ends, default=cook.plates_at + HOUR) + shift


def pushes(cook: Cook, person: str, now: datetime) -> int:
    """Return how many messages with a sound a person got in the last hour."""
    recent = {
        (made.at, made.call.sound is Sound.ALARM)
        for made in cook.calls.values()
        if made.at is not None and now - made.at < HOUR and made.call.sound is not Sound.SILENT
        and person in made.call.to and person not in made.call.quiet
    }  # fmt: skip
    return len(recent)


# ------------------------------------------------------------------ word of what others did


LOUD_KINDS = frozenset({"call", "finding"})
"""Notices with something to do or to decide for the one who gets them."""


def hushed_notices(cook: Cook, notices: Sequence[Notice], now: datetime) -> tuple[Notice, ...]:
    """Return notices as silence leaves them: muted people read the room; nights make no sound."""
    quiet = quiet_until(quiet_windows(cook), now) is not None
    kept = []
    for notice in notices:
        if notice.sound is Sound.ALARM or notice.kind == "call":
            kept.append(notice)
            continue
        to = notice.to
        if notice.kind not in LOUD_KINDS and to != ROOM:
            to = tuple(p for p in to if not is_muted(cook, p, now))
        sound = Sound.SILENT if quiet else notice.sound
        if to:
            kept.append(replace(notice, to=to, sound=sound))
    return tuple(kept)
