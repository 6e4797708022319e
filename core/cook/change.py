"""Changes of the promise: heads, plates, running late. Consequences first, applied on one tap.

Elastic time is eaten first, plate-tied work slides with plates, world-tied clocks never move;
the answer says what each costs. The plan is made again at the tap, so what is adopted is never
stale; if it has become another than the one shown, it is asked again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from core.cook.decision import Dated, Decision, Notice, booked
from core.cook.fresh import moved_on
from core.cook.names import job_name, listed
from core.cook.plans import with_hazards
from core.cook.slips.force import basis
from core.cook.slips.heads import (
    can_split,
    crew_lines,
    hands_notices,
    heads_lines,
    split_of,
    with_split,
)
from core.cook.slips.noplan import impossible_lines
from core.cook.slips.resized import resized
from core.cook.slips.telling import hold_line, wants_hands
from core.cook.slips.telling import told as told_of
from core.cook.state import Cook, Phase
from core.cook.subjects import Item, candidates, in_order, key_of, plan_of
from core.errors import CannotPlanError, NotAllowedError, OutOfRangeError
from core.facts import (
    Apply,
    ChangeHeads,
    Choice,
    HeadsChanged,
    LateReported,
    MovePlates,
    PlanAdopted,
    PlatesMoved,
    QuestionAnswered,
    QuestionAsked,
    RunLate,
)
from core.facts.slips import AskCure
from core.model import Answer, Clock, Label, Line, Number, Person, Plan, Qty, Sound, Tied, say
from core.planner import replan

MAX_HEADS = 5000
LINES = 4
SAME_LATE_MIN = 2.5  # less than this late is the same outcome still


def next_letter(letter: str) -> str:
    """Return the letter of the next plan: A, B … Z, AA, AB …

    Examples
    --------
    >>> next_letter("A"), next_letter("Z")
    ('B', 'AA')
    """
    head, last = letter[:-1], letter[-1:]
    if last == "Z":
        return (next_letter(head) if head else "A") + "A"
    return head + chr(ord(last or "@") + 1)


def remade(cook: Cook, heads: int, plates_at: datetime, now: datetime) -> Plan:
    """Return the plan for these heads and plates from where the day stands."""
    if cook.cards is None:
        raise CannotPlanError("nothing is cooking yet")
    plan = plan_of(cook)
    cards, told = basis(cook, now)
    again = replan(
        cards,
        plan,
        told,
        heads=heads,
        plates_at=plates_at,
        letter=next_letter(plan.letter),
        reason="",
    )
    return with_hazards(cook.cards, again)


def outcome(plan: Plan) -> str:
    """Return what a person would have to be asked again about, if it changed."""
    worst = min((load.slack_min for load in plan.loads), default=0.0)
    loads = len(plan.loads)
    late = round(-worst) if -worst >= SAME_LATE_MIN else 0
    return f"{plan.heads}/{plan.plates_at:%Y-%m-%dT%H:%M}/{loads}/{late}/{plan.fits}"


def heads_asked(cook: Cook, wish: ChangeHeads, by: str, at: datetime, now: datetime) -> Decision:
    """Show the chef what another head count means, with one tap to apply it."""
    if not 0 < wish.heads <= MAX_HEADS:
        raise OutOfRangeError("heads", wish.heads, f"1 to {MAX_HEADS}")
    if cook.plates_at is None:
        raise CannotPlanError("nothing is cooking yet")
    if wish.heads == cook.heads and not wish.split:
        return Decision(
            answer=Answer((say("{n} already. Nothing changes.", n=_people(cook.heads)),))
        )
    why = say("{was} → {now}", was=Qty(cook.heads, "", 0), now=_people(wish.heads))
    split = split_of(cook, wish.heads, wish.split, more=wish.more) if wish.split else None
    return asked(cook, wish.heads, cook.plates_at, why, by, at, now, split=split)


def plates_asked(cook: Cook, wish: MovePlates, by: str, at: datetime, now: datetime) -> Decision:
    """Show the chef what another time for plates means, with one tap to apply it."""
    if cook.plates_at is None:
        raise CannotPlanError("nothing is cooking yet")
    if abs(wish.at - cook.plates_at) > timedelta(hours=12):
        raise OutOfRangeError("plates", _clock(cook, wish.at), "within 12 h of the plan")
    if wish.at <= now:
        raise OutOfRangeError("plates", _clock(cook, wish.at), f"after {_clock(cook, now)}")
    why = say("plates {was} → {now}", was=Clock(cook.plates_at), now=Clock(wish.at))
    return asked(cook, cook.heads, wish.at, why, by, at, now)


def late_asked(cook: Cook, wish: RunLate, by: str, at: datetime, now: datetime) -> Decision:
    """Book that something runs late, retime the plan and show what it costs in plates."""
    if not 0 < wish.minutes <= 600:
        raise OutOfRangeError("late", f"{wish.minutes:g} min", "1 to 600 min")
    if cook.plates_at is None or cook.cards is None:
        raise CannotPlanError("nothing is cooking yet")
    item = _anchor(cook, wish.subject, now)
    late = timedelta(minutes=wish.minutes)
    running = cook.phase(key_of(item)) is Phase.RUNNING
    until = (item.end if running else item.start) + late
    fact = Dated(at, LateReported(key_of(item), until, wish.minutes))
    after = booked(cook, (fact,), by, now)
    why = say("{minutes} late", minutes=Qty(wish.minutes, "min", 0))
    try:
        late_min = lateness_min(remade(after, cook.heads, cook.plates_at, now))
    except CannotPlanError:
        late_min = 0
    plates = cook.plates_at + timedelta(minutes=late_min)
    return asked(after, cook.heads, plates, why, by, at, now, first=(fact,))


def lateness_min(plan: Plan) -> int:
    """Return by how many whole minutes the latest load misses its plates; 0 when none does."""
    worst = min((load.slack_min for load in plan.loads), default=0.0)
    return max(0, -int(worst // 1)) if worst < -0.5 else 0


def _anchor(cook: Cook, subject: str, now: datetime) -> Item:
    """Return what 'late' is about: the named job, else what should run or start about now."""
    named = candidates(cook, subject, "") if subject else in_order(plan_of(cook))
    running = [i for i in named if cook.phase(key_of(i)) is Phase.RUNNING and _fire(i)]
    waiting = [i for i in named if cook.phase(key_of(i)) is Phase.WAITING and i.end >= now]
    due = [i for i in waiting if i.start <= now]
    found = [i for i in due if _fire(i)] or running or due or waiting
    if not found:
        raise CannotPlanError("everything is done")
    return found[0]


def _fire(item: Item) -> bool:
    return getattr(item, "on_fire", False) or item.do == "light"


def asked(
    cook: Cook,
    heads: int,
    plates_at: datetime,
    why: Line,
    by: str,
    at: datetime,
    now: datetime,
    first: tuple[Dated, ...] = (),
    split: Mapping[str, int] | None = None,
) -> Decision:
    """Return the question to the chef with its consequences; whoever asked hears that it went."""
    cards = cook.cards
    chef = cards.chef if cards else None
    if cards is None or chef is None:
        raise NotAllowedError("the promise", "a chef: none is on this crew")
    supposed = with_split(cook, heads, split)
    try:
        new = remade(supposed, heads, plates_at, now)
    except CannotPlanError as error:
        words = impossible_lines(supposed, heads, plates_at, error, now)
        return _cannot(cook, chef, why, words, by, first)
    lines = (say("{why}: {plates}", why=why, plates=promise(new)), *costs(cook, new, now))[:4]
    numbers: tuple[Number, ...] = ()
    if heads != cook.heads or split is not None:
        first_line = _with_most(cook, new, lines[0], now)
        lines, numbers = heads_lines(cook, supposed, new, first_line)
    wish = Apply(heads, plates_at, why, outcome(new), split)
    choices: tuple[Choice, ...] = (Choice(say("apply"), wish), Choice(say("leave it")))
    if numbers and split is None and can_split(cook):
        choices = (choices[0], Choice(say("other split"), AskCure("split")), choices[1])
    question = QuestionAsked(f"change/{cook.seq}", (chef.id,), lines, choices, Sound.ONCE)
    facts = (*first, *struck(cook, at), Dated(at, question))
    if by == chef.id:
        return Decision(facts, _put(lines, new, choices, numbers))
    told = Notice(
        question.key, (chef.id,), lines, Sound.ONCE, tuple(c.line for c in choices), "call"
    )
    answer = Answer((say("Asked {chef}: {why}.", chef=Label(chef.name), why=why),))
    return Decision(facts, answer, (told,))


def _cannot(
    cook: Cook, chef: Person, why: Line, words: tuple[Line, ...], by: str, first: tuple[Dated, ...]
) -> Decision:
    """Return that this cannot be done from here, and what can: nothing is changed, nobody taps."""
    head = say("{why}: no plan from here.", why=why)
    lines = (head, *words)[:LINES]
    if by == chef.id:
        return Decision(first, Answer(lines))
    told = Notice(f"noplan/{cook.seq}", (chef.id,), lines, Sound.ONCE, kind="finding")
    answer = Answer((*lines[: LINES - 1], say("{chef} is told.", chef=Label(chef.name))))
    return Decision(first, answer, (told,))


def _with_most(cook: Cook, new: Plan, line: Line, now: datetime) -> Line:
    """Return the promise, and where it is not held how many could be fed in time from here."""
    if new.heads <= cook.heads or not lateness_min(new):
        return line
    low, high = cook.heads, new.heads
    while high - low > 1:
        middle = (low + high) // 2
        held = not lateness_min(remade(cook, middle, new.plates_at, now))
        low, high = (middle, high) if held else (low, middle)
    if low == cook.heads:
        return line
    return say("{line}, {n} at most in time", line=line, n=_people(low))


def struck(cook: Cook, at: datetime) -> tuple[Dated, ...]:
    """Return the end of every proposal still open: a newer one, or an adopted plan, strikes it."""
    return tuple(
        Dated(at, QuestionAnswered(key, 0))
        for key, asked in cook.questions.items()
        if asked.answered is None and key.startswith("change/")
    )


def _put(
    lines: tuple[Line, ...], new: Plan, choices: tuple[Choice, ...], table: tuple[Number, ...]
) -> Answer:
    plates = new.plates_at.isoformat()
    return Answer(
        lines,
        question=say("Apply it?") if len(lines) < LINES else None,
        choices=tuple(choice.line for choice in choices),
        numbers=(
            Number("heads", new.heads, "count"),
            Number("plates_at", plates, "time"),
            Number("late", lateness_min(new), "min"),
            *table,
        ),
    )


def promise(plan: Plan) -> Line:
    """Return whether a plan holds its plates, and with how much in hand."""
    late = lateness_min(plan)
    if late:
        return say(
            "plates {clock} NOT held, {late} late",
            clock=Clock(plan.plates_at),
            late=Qty(late, "min", 0),
        )
    spare = min((load.slack_min for load in plan.loads), default=0.0)
    return say(
        "plates {clock}, {slack} in hand", clock=Clock(plan.plates_at), slack=Qty(spare, "min", 0)
    )


def costs(cook: Cook, new: Plan, now: datetime) -> list[Line]:
    """Return what moves, by what ties it, and what does not."""
    was = {key_of(i): i for i in in_order(plan_of(cook))}
    waiting = [i for i in in_order(new) if cook.phase(key_of(i)) is Phase.WAITING]
    open_ = [i for i in waiting if i.do != "break" and was.get(key_of(i), i).start >= now]
    open_ = [i for i in open_ if wants_hands(cook, i) or i.tied is Tied.WORLD]
    moved = {
        tied: [i for i in open_ if i.tied.value == tied and _shift(was, i)]
        for tied in ("elastic", "plates")
    }
    lines = [_moves(tied, found, was, cook) for tied, found in moved.items() if found]
    world = [i for i in open_ if i.tied.value == "world" and i.dish]
    if world:
        lines.append(say("Does not move: {names}.", names=_names(world, cook)))
    known = [finding.text for finding in plan_of(cook).findings]
    short = [f.text for f in new.findings if f.kind == "short" and f.text not in known]
    lines[:0] = short[:2]
    smaller = resized(plan_of(cook), new, cook.cards)
    loads = len(new.loads) - len(plan_of(cook).loads)
    if smaller is not None:
        lines.insert(0, say("{what}.", what=smaller))
    elif loads > 0:
        lines.insert(0, say("{n} more to cook.", n=Qty(loads, "load", 0)))
    return lines


def _shift(was: dict[str, Item], item: Item) -> float:
    old = was.get(key_of(item))
    minutes = (item.start - old.start).total_seconds() / 60 if old else 0.0
    return minutes if abs(minutes) >= 0.5 else 0.0


def _moves(tied: str, found: list[Item], was: dict[str, Item], cook: Cook) -> Line:
    shift = max((_shift(was, i) for i in found), key=abs)
    by = Qty(round(shift), "min", 0)
    if tied == "plates":
        return say("Moves with plates {by}: {names}.", by=by, names=_names(found, cook))
    return say("Slides {by}: {names}.", by=by, names=_names(found, cook))


def _names(found: list[Item], cook: Cook) -> Line:
    names = {str(job_name(i, cook.cards)): job_name(i, cook.cards) for i in found}
    return listed(list(names.values()), 3)


def applied(cook: Cook, wish: Apply, by: str, at: datetime, now: datetime) -> Decision:
    """Adopt the plan for a change that was tapped, or ask again if it has become another."""
    if cook.plates_at is None:
        raise CannotPlanError("nothing is cooking yet")
    supposed = with_split(cook, wish.heads, wish.split)
    new = _as_shown(cook, wish, now) or remade(supposed, wish.heads, wish.plates_at, now)
    if wish.shown and outcome(new) != wish.shown:
        return asked(cook, wish.heads, wish.plates_at, wish.reason, by, at, now, split=wish.split)
    facts: list[Dated] = [*struck(cook, at)]
    if wish.heads != cook.heads or wish.split is not None:
        facts.append(Dated(at, HeadsChanged(wish.heads, cook.heads, wish.split)))
    if wish.plates_at != cook.plates_at:
        facts.append(Dated(at, PlatesMoved(wish.plates_at, cook.plates_at)))
    facts.append(Dated(at, PlanAdopted(new, cook.seq, wish.reason)))
    line = say(
        "PLAN {letter} {clock}: {why}. Plates {plates}.",
        letter=Label(new.letter),
        clock=Clock(now),
        why=wish.reason,
        plates=Clock(wish.plates_at),
    )
    crew = [line, *crew_lines(cook, supposed, new), hold_line(cook, new)]
    for_all = wish.heads != cook.heads or wish.plates_at != cook.plates_at
    told = Notice(
        f"plan/{new.letter}/{cook.seq}",
        ("room",),
        tuple(x for x in crew if x is not None),
        Sound.ONCE if for_all else Sound.SILENT,
        picture=f"plan-{new.letter}.png",
        letter=new.letter,
    )
    hands = hands_notices(cook, supposed, new, by)
    concerned = () if for_all else told_of(cook, new, by, now)
    return Decision(tuple(facts), Answer((line,)), (told, *hands, *concerned))


def _as_shown(cook: Cook, wish: Apply, now: datetime) -> Plan | None:
    """Return the plan that was shown, lettered next, if it still is about the day as it stands."""
    if wish.plan is None or moved_on(cook, wish.made_from, wish.plan, now):
        return None
    return replace(wish.plan, letter=next_letter(plan_of(cook).letter))


def _people(n: int) -> Qty:
    return Qty(n, "heads", 0)


def _clock(cook: Cook, at: datetime) -> str:
    return f"{cook.cards.event.local(at):%H:%M}" if cook.cards else f"{at:%H:%M} UTC"
