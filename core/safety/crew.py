"""The crew's own health: who must stay away from food, heat, water, washing hands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from core.model import (
    Cards,
    Clock,
    Dish,
    Finding,
    Label,
    Line,
    Plan,
    Profile,
    Value,
    Verdict,
    say,
)
from core.safety.rules import Rule, finding, of_profile, the


@dataclass(frozen=True, slots=True)
class Touched:
    """Food somebody worked on: dish, run or task, from when to when, and is it eaten as is."""

    what: str
    dish: str
    start: datetime
    end: datetime
    ready_to_eat: bool


def touched_by(person: str, cards: Cards, plan: Plan, now: datetime) -> tuple[Touched, ...]:
    """Return what a person's ticked or planned work touched up to now, oldest first."""
    found: list[Touched] = []
    for run in plan.runs():
        if person in run.crew and run.start < now:
            dish = cards.dish(run.dish)
            as_is = work_is_eaten_as_is(dish, run.index)
            found.append(Touched(run.unit or run.key, dish.name, run.start, run.end, as_is))
    for task in plan.tasks:
        if person in task.crew and task.start < now and task.dish:
            dish = cards.dish(task.dish)
            found.append(
                Touched(task.batch or task.id, dish.name, task.start, task.end,
                        work_is_eaten_as_is(dish, 0))
            )  # fmt: skip
    return tuple(sorted(found, key=lambda each: each.start))


def work_is_eaten_as_is(dish: Dish, index: int) -> bool:
    """Say whether hands at a step are on food that no later fire of its card cooks."""
    return not any(step.until_core_c for step in dish.steps[index:])


def sick_rule(profile: Profile | None) -> Rule:
    """Return who stays away how long: the rule book's row, else the house's, which is as long."""
    rows = of_profile("other", profile) if profile else ()
    return next((r for r in rows if r.id.endswith(".sick")), the("house", "house.sick"))


def sick_findings(
    person: str, touched: Sequence[Touched], profile: Profile | None
) -> tuple[Finding, ...]:
    """Return what follows from vomiting or diarrhoea: out at once, and the food they touched.

    Food eaten as it is goes; food that is still to be cooked through is named. The chef is told in
    private: `about` carries the person.
    """
    rule = sick_rule(profile)
    hours = int(rule.row["hours"])
    first = finding(
        rule,
        Verdict.STOP,
        say(
            "{verdict}. {who} out now, no food for {hours} h after the last symptom.",
            verdict=Verdict.STOP,
            who=Label(person) if person else say("That person"),
            hours=hours,
        ),
        about=person,
    )
    return (first, *(_touched(each, rule) for each in touched))


def _touched(each: Touched, rule: Rule) -> Finding:
    fields: dict[str, Value] = {
        "dish": Label(each.dish),
        "what": Label(each.what),
        "start": Clock(each.start),
        "end": Clock(each.end),
    }
    if each.ready_to_eat:
        text = say(
            "{verdict}: {dish} {what}, touched {start}–{end}.", verdict=Verdict.BIN, **fields
        )
        return finding(rule, Verdict.BIN, text, about=each.what)
    text = say(
        "{verdict}. {dish} {what}, touched {start}–{end}: serve only if cooked through after that.",
        verdict=Verdict.NOT_YET,
        **fields,
    )
    return finding(rule, Verdict.NOT_YET, text, about=each.what)


def sick_lines() -> tuple[Line, ...]:
    """Return what to do with the place: bleach, and who is told."""
    return (
        say("Place: 1000 ppm bleach, gloves, paper, bag it. Everyone washes hands."),
        say("Tell the chef, only the chef."),
    )


def back_on(last_symptom: datetime, profile: Profile | None) -> datetime:
    """Return when somebody may touch food again."""
    return last_symptom + timedelta(hours=float(sick_rule(profile).row["hours"]))


# ------------------------------------------------------------------ heat


def heat_index_c(air_c: float, humidity: float) -> float:
    """Return how hot it feels, °C, by the weather service's regression.

    Parameters
    ----------
    air_c
        Air in the shade, °C; below 26.7 °C the air itself is returned.
    humidity
        Relative humidity, 0 to 1.

    References
    ----------
    US National Weather Service, Rothfusz regression (from memory): 90 °F and 70 % gives 105.9 °F.

    Examples
    --------
    >>> round(heat_index_c((90 - 32) / 1.8, 0.70) * 1.8 + 32, 1)
    105.9
    """
    t, r = air_c * 1.8 + 32, humidity * 100
    if t < 80:
        return air_c
    index = (
        -42.379
        + 2.04901523 * t
        + 10.14333127 * r
        - 0.22475541 * t * r
        - 6.83783e-3 * t * t
        - 5.481717e-2 * r * r
        + 1.22874e-3 * t * t * r
        + 8.5282e-4 * t * r * r
        - 1.99e-6 * t * t * r * r
    )
    return max(air_c, (index - 32) / 1.8)


def crew_heat_line(feels_c: float) -> Line | None:
    """Return what the crew needs in this heat; None below the first band."""
    high, first = the("crew", "heat.high", "hazards"), the("crew", "heat.initial", "hazards")
    if feels_c >= float(the("crew", "heat.danger", "hazards").row["from_c"]):
        return say("Danger heat: 15 min rest in shade every hour, water every 15 min, pairs only.")
    if feels_c >= float(high.row["from_c"]):
        return say("15 min rest in shade every 2 h, a cup of water every 15–20 min. Watch the pit.")
    if feels_c >= float(first.row["from_c"]):
        return say("Water and shade out. A cup every 15–20 min.")
    return None
