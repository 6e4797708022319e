"""The steps of a dish card: each on its own, and whether they can follow one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from bot.cards import readers as r
from bot.cards.errors import among
from bot.cards.section import Section, exceeds
from core.model import Per, Piece, Step, Tied


@dataclass(frozen=True, slots=True)
class StepRow:
    """A step and the section it was read from."""

    step: Step
    section: Section


def read_step(s: Section) -> StepRow:
    """Return one step; what is wrong with it is noted on the sheet."""
    do = s.need("do", r.text, "?")
    lot = s.maybe("lot", r.batch)
    step = Step(
        id=s.maybe("id", r.name) or do.replace(" ", "-"),
        do=do,
        station=s.maybe("station", r.name),
        temp_c=s.maybe("temp", r.fire_temp),
        start_temp_c=s.maybe("start_temp", r.food_temp),
        until_core_c=s.maybe("until_core", r.food_temp),
        per=s.take("per", r.one_of(Per), "load"),
        lot=lot.amount if lot else None,
        lot_unit=lot.unit if lot else "pieces",
        min_min=s.maybe("min", r.duration),
        ideal_min=s.maybe("ideal", r.duration),
        max_min=s.maybe("max", r.duration),
        never_over_min=s.maybe("never_over", r.some_time),
        in_wind_min=s.maybe("in_wind", r.some_time),
        checks=s.take("checks", r.listed(r.check), []),
        turns_min=s.take("turns", r.listed(r.duration), []),
        gap_min=s.take("gap", r.duration, "0 min"),
        gap_max_min=s.maybe("gap_max", r.duration),
        hands=s.take("hands", r.whole(0, 50), 0),
        shared_by=s.take("shared_by", r.whole(1, 50), 1),
        skill=s.maybe("skill", r.text),
        tied=s.take("tied", r.one_of(Tied), "elastic"),
        before_plates_min=s.maybe("before_plates", r.duration),
        day=s.maybe("day", r.whole(-30, 1)),
        ahead_max_min=s.maybe("ahead_max", r.some_time),
        keep_above_c=s.maybe("keep_above", r.food_temp),
        keep_below_c=s.maybe("keep_below", r.food_temp),
        instead_of=s.maybe("instead_of", r.name),
    )
    s.close()
    return StepRow(step, s)


def check_steps(rows: Sequence[StepRow], piece: Piece) -> None:
    """Note what no cook could do: times out of order, steps that wait for themselves."""
    for row in rows:
        _check_times(row)
        _check_looks(row)
        _check_heat(row, piece)
        _check_work(row)
    _check_names(rows)
    _check_order([row for row in rows if row.step.instead_of is None])


def _check_times(row: StepRow) -> None:
    step, s = row.step, row.section
    given = [
        (key, value)
        for key, value in (
            ("min", step.min_min),
            ("ideal", step.ideal_min),
            ("max", step.max_min),
            ("never_over", step.never_over_min),
        )
        if value is not None
    ]
    for (short, low), (long, high) in pairwise(given):
        if low > high:
            s.wrong(
                long, f"{long} is shorter than {short}", "min, ideal, max, never_over: in order"
            )
    if exceeds(step.in_wind_min, step.never_over_min):
        s.wrong("in_wind", "is longer than never_over", "never_over holds in wind, too")
    if exceeds(step.gap_min, step.gap_max_min):
        s.wrong("gap_max", "is shorter than gap", "gap is what is planned, gap_max the most")
    if not any(s.has(key) for key in ("min", "ideal", "max", "never_over", "until_core")):
        s.wrong("", "has no time", 'ideal = "90 min", or until_core with a thickness')


def _check_looks(row: StepRow) -> None:
    step, s = row.step, row.section
    longest = max(
        (x for x in (step.ideal_min, step.max_min, step.never_over_min) if x is not None),
        default=None,
    )
    for earlier, later in pairwise(step.checks):
        if later.after_min <= earlier.after_min:
            s.wrong("checks", "are not in order of time", "each later than the one before")
    for earlier_turn, later_turn in pairwise(step.turns_min):
        if later_turn <= earlier_turn:
            s.wrong("turns", "are not in order of time", "each counts from the start of the step")
    if longest is not None:
        if step.checks and step.checks[-1].after_min > longest:
            s.wrong("checks", "come after the step has ended", f"within {longest:g} min")
        if step.turns_min and step.turns_min[-1] >= longest:
            s.wrong("turns", "come after the step has ended", f"within {longest:g} min")


def _check_heat(row: StepRow, piece: Piece) -> None:
    step, s = row.step, row.section
    core = step.until_core_c
    if core is not None:
        if piece.thickness_cm is None:
            s.wrong(
                "until_core",
                "ends at a temperature, but nobody knows how thick a piece is",
                '[piece] thickness = "2.5 cm"',
            )
        if step.start_temp_c is not None and core <= step.start_temp_c:
            s.wrong("until_core", "is reached before it starts", "above start_temp")
        if step.temp_c is not None and core >= step.temp_c:
            s.wrong("until_core", f"a fire of {step.temp_c:g} C never gets it there", "below temp")
    if exceeds(step.keep_above_c, step.keep_below_c):
        s.wrong("keep_above", "is above keep_below", "nothing is hot and cold at once")


def _check_work(row: StepRow) -> None:
    step, s = row.step, row.section
    if step.shared_by > 1 and step.hands == 0:
        s.wrong("shared_by", "nobody works at this step", "hands = 1 or more")
    if step.skill is not None and step.hands == 0:
        s.wrong("skill", "nobody works at this step", "hands = 1 or more")
    if step.lot is not None and step.per is not Per.LOT:
        s.wrong("lot", "the step is not done in lots", 'per = "lot"')
    if step.lot_unit == "portions":
        s.wrong("lot", "a tub is not filled by portions", 'like "28 pieces", "6.3 kg" or "20 L"')
    if step.day is not None and step.day < 0 and step.before_plates_min is not None:
        s.wrong("before_plates", "the step is on another day", "either day or before_plates")


def _check_names(rows: Sequence[StepRow]) -> None:
    """Note a name used twice, and an `instead_of` that leads nowhere or in a circle."""
    main = tuple(row.step.id for row in rows if row.step.instead_of is None)
    seen: set[str] = set()
    for row in rows:
        if row.step.id in seen:
            row.section.wrong(
                "id" if row.section.has("id") else "do",
                f"there is a step {row.step.id} already",
                "give each its own id",
            )
        seen.add(row.step.id)
    for row in rows:
        other = row.step.instead_of
        if other == row.step.id:
            row.section.wrong("instead_of", "a step cannot stand in for itself", among("", main))
        elif other is not None and other not in seen:
            row.section.wrong("instead_of", f"there is no step {other}", among(other, main))
        elif other is not None and other not in main:
            row.section.wrong(
                "instead_of",
                f"{other} is itself another way: they wait for each other",
                "name a step of the usual way",
            )


def _check_order(rows: Sequence[StepRow]) -> None:
    """Note a step that is tied to a moment before the step it follows."""
    for earlier, later in pairwise([row for row in rows if row.step.day is not None]):
        if (later.step.day or 0) < (earlier.step.day or 0):
            later.section.wrong(
                "day",
                f"{later.step.id} is days before {earlier.step.id}, which comes first",
                "steps stand in order",
            )
    tied = [row for row in rows if row.step.before_plates_min is not None]
    for earlier, later in pairwise(tied):
        if (later.step.before_plates_min or 0) > (earlier.step.before_plates_min or 0):
            later.section.wrong(
                "before_plates",
                f"{later.step.id} is before {earlier.step.id}, which comes first",
                "steps stand in order",
            )
