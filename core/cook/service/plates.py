"""Plates counted out: '210 out', 'lane 1 80', '6 trays to lane 2', 'a line 30 deep'."""

from __future__ import annotations

from datetime import datetime

from core.cook.decision import Dated, Decision, Notice, booked
from core.cook.service.counts import pace_per_min, plan_per_min, started_at
from core.cook.service.forecast import outlook
from core.cook.state import Cook
from core.errors import OutOfRangeError
from core.facts import Choice, CountPlates, PlatesCounted, QuestionAsked, QueueSeen, SeeQueue
from core.model import Answer, Clock, Label, Lead, Line, Number, Qty, Sound, Value, say

MOST = 20_000
USUAL_TRAYS = (10, 12, 20, 24)
"""Portions of a tray to choose from where nobody has said (common practice)."""


def plates_counted(cook: Cook, wish: CountPlates, by: str, at: datetime, now: datetime) -> Decision:
    """Book a count and say what it makes in all, the pace, and when plates run out."""
    each = wish.each or cook.service.each
    if wish.trays is not None and each is None:
        return _tray_of(cook, wish, by, at)
    plates = wish.trays * (each or 1) if wish.trays is not None else wish.plates
    if not 0 <= plates <= MOST:
        raise OutOfRangeError("plates", plates, f"0 to {MOST}")
    before = cook.service.lane_total(wish.lane) if wish.lane else cook.service.out
    if not wish.more and plates < before and not wish.sure:
        return _more_or_all(cook, wish, before, by, at)
    total = before + plates if wish.more else plates
    out = cook.service.out + (total - before)
    fact = Dated(at, PlatesCounted(wish.lane, total, max(out, 0), wish.each))
    after = booked(cook, (fact,), by, now)
    first = _counted(after, wish, plates, at)
    return Decision((fact,), Answer((first, *_pace(after, at)), numbers=_numbers(after, at)))


def _counted(cook: Cook, wish: CountPlates, plates: int, at: datetime) -> Line:
    book = cook.service
    start = started_at(cook, at) or at
    fields: dict[str, Value] = {
        "out": Qty(book.out, "plates", 0),
        "clock": Clock(at),
        "start": Clock(start),
    }
    if not wish.lane:
        return say("{out} out, {start}-{clock}.", **fields)
    fields |= {"lane": Label(wish.lane), "total": Qty(book.lane_total(wish.lane), "plates", 0)}
    if wish.trays is not None:
        fields |= {"trays": Qty(wish.trays, "trays", 0), "n": Qty(plates, "plates", 0)}
        return say("{lane}: +{trays} ({n}) {clock}. {start}-{clock}: {total}.", **fields)
    return say("{lane}: {total}. In all {out}, {start}-{clock}.", **fields)


def _pace(cook: Cook, at: datetime) -> list[Line]:
    pace, planned = pace_per_min(cook, at), plan_per_min(cook)
    if pace is None:
        return []
    now = Qty(round(pace[0], 1), "", 1)
    lines = [say("{pace}/min.", pace=now)]
    if planned is not None:
        lines = [say("{pace}/min, plan {plan}.", pace=now, plan=Qty(round(planned, 1), "", 1))]
    seen = outlook(cook, at)
    if seen.short and seen.out_at is not None:
        lines.append(say("Out {clock}, short {n}. 'how many left' for what would do.",
                         clock=Clock(seen.out_at), n=seen.short))  # fmt: skip
    return lines


def _numbers(cook: Cook, at: datetime) -> tuple[Number, ...]:
    pace = pace_per_min(cook, at)
    found = [Number("out", cook.service.out, "count")]
    if pace is not None:
        found.append(Number("pace", round(pace[0], 2), "1/min"))
    return tuple(found)


def _more_or_all(cook: Cook, wish: CountPlates, before: int, by: str, at: datetime) -> Decision:
    """Ask what fewer than before means: more, or a count that was too high."""
    more = CountPlates(wish.plates, wish.lane, more=True)
    fewer = CountPlates(wish.plates, wish.lane, sure=True)
    question = say("{n}: more, or in all? {before} were counted.", n=wish.plates, before=before)
    picks = (
        Choice(say("{n} more, {total} in all", n=wish.plates, total=before + wish.plates), more),
        Choice(say("{n} in all", n=wish.plates), fewer),
    )
    return _asked(f"count/{cook.seq}", question, picks, by, at)


def _tray_of(cook: Cook, wish: CountPlates, by: str, at: datetime) -> Decision:
    picks = tuple(
        Choice(say("{n}", n=n), CountPlates(0, wish.lane, True, wish.trays, n)) for n in USUAL_TRAYS
    )
    return _asked(f"tray/{cook.seq}", say("How many portions a tray?"), picks, by, at)


def _asked(key: str, question: Line, picks: tuple[Choice, ...], by: str, at: datetime) -> Decision:
    fact = QuestionAsked(key, (by,), (question,), picks)
    answer = Answer((), question=question, choices=tuple(p.line for p in picks))
    return Decision((Dated(at, fact),), answer)


# ------------------------------------------------------------------ the line of guests


def queue_seen(cook: Cook, wish: SeeQueue, by: str, at: datetime, now: datetime) -> Decision:
    """Answer how long a guest waits now, and what would shorten it; the front lead hears it."""
    if wish.deep is not None and not 0 < wish.deep <= 5000:
        raise OutOfRangeError("line", wish.deep, "1 to 5000 people")
    if wish.per_min is not None and not 0 < wish.per_min <= 60:
        raise OutOfRangeError("pace", f"{wish.per_min:g}/min", "above 0 and at most 60/min")
    fact = Dated(at, QueueSeen(wish.deep, wish.per_min, wish.lane))
    lines, numbers = _waits(cook, wish, now)
    told = _front_told(cook, wish, lines, by)
    return Decision((fact,), Answer(tuple(lines), numbers=tuple(numbers)), told)


def _waits(cook: Cook, wish: SeeQueue, now: datetime) -> tuple[list[Line], list[Number]]:
    counted = pace_per_min(cook, now)
    per_min = wish.per_min or (counted[0] if counted else None)
    planned = _planned(cook, wish.lane)
    numbers: list[Number] = []
    if wish.deep is None:
        first = say("{lane} {pace}/min", lane=Label(wish.lane) if wish.lane else say("Line"),
                    pace=Qty(round(per_min or 0.0, 1), ""))  # fmt: skip
        plan = Qty(round(planned or 0.0, 1), "")
        lines = [say("{first}, plan {plan}.", first=first, plan=plan) if planned else first]
        return [*lines, say("Sauce and bread to the end table; swap the server.")], numbers
    if per_min is None:
        lines = [say("Nobody counted plates: I can't tell the wait. Count one minute.")]
    else:
        wait = wish.deep / per_min
        numbers.append(Number("wait", round(wait), "min"))
        lines = [_wait_line(per_min, planned, wait)]
    if planned is None or (per_min is not None and per_min >= planned):
        return [*lines, say("Pit: keep pace, drop no more.")], numbers
    fixed = wish.deep / planned
    numbers.append(Number("wait_after", round(fixed), "min"))
    lines.append(
        say(
            "Fix: sauce and bread to the end table, slice ahead, open the other side → {plan}/min, "
            "wait {wait}.",
            plan=Qty(round(planned, 1), ""),
            wait=Qty(round(fixed), "min", 0),
        )
    )
    return [*lines, say("Pit: keep pace, drop no more.")], numbers


def _wait_line(per_min: float, planned: float | None, wait: float) -> Line:
    pace, span = Qty(round(per_min, 1), ""), Qty(round(wait), "min", 0)
    if planned is None:
        return say("{pace}/min. Wait {wait}.", pace=pace, wait=span)
    return say("{pace}/min, plan {plan}. Wait {wait}.", pace=pace,
               plan=Qty(round(planned, 1), ""), wait=span)  # fmt: skip


def _planned(cook: Cook, lane: str) -> float | None:
    station = cook.cards.station(lane) if cook.cards and lane else None
    if station is not None and station.per_min:
        return station.per_min
    return plan_per_min(cook)


def _front_told(cook: Cook, wish: SeeQueue, lines: list[Line], by: str) -> tuple[Notice, ...]:
    front = cook.cards.leading(Lead.FRONT) if cook.cards else None
    if front is None or front.id == by:
        return ()
    first = lines[0]
    if wish.deep is not None:
        first = say("Line {n} deep. {line}", n=wish.deep, line=lines[0])
    told = (first, *lines[1:2])
    return (Notice(f"queue/{cook.seq}", (front.id,), told, Sound.ONCE, kind="finding"),)
