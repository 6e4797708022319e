"""The question about a slip, the tap that settles it, and who must hear of it.

The chef is asked; a lead whose part it is may tap as well. Nobody answered for ten minutes and
something expires: then the lead of that part is handed the question, and the plan notes it.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import datetime, timedelta
from math import ceil

from core.cook.change import SAME_LATE_MIN, costs, struck
from core.cook.decision import Dated, Decision, Notice
from core.cook.plans import with_hazards
from core.cook.slips.noplan import no_plan_lines
from core.cook.slips.offered import NEVER_MIN, Offer, offers
from core.cook.slips.telling import told
from core.cook.state import Cook, Open, Phase
from core.cook.subjects import plan_of
from core.errors import CannotPlanError, NotAllowedError
from core.facts import Choice, PlanAdopted, PlatesMoved, QuestionAnswered, QuestionAsked
from core.facts.slips import Part, TakeOption
from core.model import (
    Answer,
    Call,
    Cards,
    Clock,
    Label,
    Lead,
    Line,
    Number,
    Person,
    Qty,
    Sound,
    Who,
    say,
)

SILENT_MIN = 10.0
LEAD_OF: Mapping[Part, Lead] = {
    Part.FIRE: Lead.PIT,
    Part.SALADS: Lead.COLD,
    Part.PACE: Lead.FRONT,
}
LINES = 4


def may_take(cards: Cards, person: str, part: Part) -> bool:
    """Say whether a choice is this person's to take: the chef's, or the lead's of that part."""
    someone = cards.person(person)
    if someone is None:
        return False
    lead = LEAD_OF.get(part)
    chef = cards.chef
    return (chef is not None and someone.id == chef.id) or (lead in someone.leads)


def asked(
    cook: Cook,
    first: tuple[Line, ...],
    facts: tuple[Dated, ...],
    found: tuple[Offer, ...],
    by: str,
    at: datetime,
    *,
    notices: tuple[Notice, ...] = (),
    numbers: tuple[Number, ...] = (),
) -> Decision:
    """Return the question with its consequences; `cook` is the one after the facts.

    Who reported hears what it means; the choices go to whoever may take them.
    """
    cards = cook.cards
    chef = cards.chef if cards else None
    if cards is None or chef is None:
        return Decision(facts, Answer(first[:LINES], numbers=numbers), notices)
    if not found:
        return _no_plan(cook, chef, first, facts, by, notices, at)
    alone = [offer.key for offer in found] == ["keep"]
    picks = tuple(Choice(choice_line(offer, alone=alone), take(offer)) for offer in found)
    picks = (*picks, Choice(say("leave it"))) if len(picks) < LINES else picks
    to = _to(cards, chef, found, by)
    question = QuestionAsked(f"change/{cook.seq}", to, first[:LINES], picks, Sound.ONCE)
    facts = (*facts, *struck_offers(cook, at), Dated(at, question))
    words = tuple(pick.line for pick in picks)
    others = tuple(p for p in to if p != by)
    if others:
        told_them = Notice(question.key, others, first[:LINES], Sound.ONCE, words, "call")
        notices = (*notices, told_them)
    if by in to:
        ask = say("Which?") if len(first) < LINES else None  # the taps say it as well
        answer = Answer(first[:LINES], numbers=numbers, question=ask, choices=words)
        return Decision(facts, answer, notices)
    last = say("{chef} is asked.", chef=Who(chef.id))
    return Decision(facts, Answer((*first[: LINES - 1], last), numbers=numbers), notices)


def _no_plan(
    cook: Cook,
    chef: Person,
    first: tuple[Line, ...],
    facts: tuple[Dated, ...],
    by: str,
    notices: tuple[Notice, ...],
    at: datetime,
) -> Decision:
    """Return the consequence where nothing can be offered, what breaks first, what would help."""
    last = say("Chef decides.") if by != chef.id else say("You decide.")
    lines = (first[0], *no_plan_lines(cook, now_of(cook, at)), *first[1:], last)[:LINES]
    if by != chef.id:
        told_chef = Notice(f"noplan/{cook.seq}", (chef.id,), lines, Sound.ONCE, kind="finding")
        notices = (*notices, told_chef)
    return Decision(facts, Answer(lines), notices)


def now_of(cook: Cook, at: datetime) -> datetime:
    """Return the moment of the last thing heard: what is planned starts no sooner."""
    return max([at, *(entry.heard for entry in cook.entries[-1:])])


def struck_offers(cook: Cook, at: datetime) -> tuple[Dated, ...]:
    """Return the end of every open question about a slip: a newer one has all of them in it."""
    return tuple(
        Dated(at, QuestionAnswered(key, 0))
        for key, open_ in cook.questions.items()
        if open_.answered is None
        and any(isinstance(choice.wish, TakeOption) for choice in open_.question.choices)
    )


def take(offer: Offer) -> TakeOption:
    """Return the wish a tap on an offer stands for."""
    return TakeOption(offer.key, offer.part, shown_of(offer))


def shown_of(offer: Offer) -> str:
    """Return what a person would have to be asked again about, if it changed."""
    late = ceil(offer.late_min) if offer.late_min >= SAME_LATE_MIN else 0
    plan = offer.plan
    return f"{plan.heads}/{plan.plates_at:%Y-%m-%dT%H:%M}/{len(plan.loads)}/{late}"


def _to(cards: Cards, chef: Person, found: tuple[Offer, ...], by: str) -> tuple[str, ...]:
    all_theirs = all(may_take(cards, by, offer.part) for offer in found)
    return tuple(dict.fromkeys((chef.id, by))) if all_theirs else (chef.id,)


def choice_line(offer: Offer, *, alone: bool) -> Line:
    """Return a choice with its effect on plates."""
    if alone:
        return offer.text
    return say("{what}: {plates}", what=offer.text, plates=effect(offer))


def effect(offer: Offer) -> Line:
    """Return whether plates hold with this, and by how much."""
    at = Clock(offer.plan.plates_at)
    if offer.late_min > NEVER_MIN:
        late = Qty(ceil(offer.late_min), "min", 0)
        return say("plates {clock} NOT held, {late} late", clock=at, late=late)
    spare = Qty(max(-offer.late_min, 0.0), "min", 0)
    return say("plates {clock}, {slack} in hand", clock=at, slack=spare)


def consequence(offer: Offer | None, cook: Cook) -> Line:
    """Return what it does to plates if nothing else is done: the first line of every answer."""
    plan = plan_of(cook)
    if offer is None:
        return say("plates {clock} NOT held: no plan fits as it stands",
                   clock=Clock(plan.plates_at))  # fmt: skip
    if offer.late_min <= NEVER_MIN:
        spare = max(-offer.late_min, 0.0)
        return say("plates {clock} hold, {slack} in hand", clock=Clock(plan.plates_at),
                   slack=Qty(spare, "min", 0))  # fmt: skip
    worst = min(offer.plan.loads, key=lambda load: abs(load.slack_min + offer.late_min))
    return say("plates {clock} NOT held: {load} {late} late", clock=Clock(plan.plates_at),
               load=Label(worst.name), late=Qty(offer.late_min, "min", 0))  # fmt: skip


def what_moves(cook: Cook, offer: Offer | None, now: datetime) -> tuple[Line, ...]:
    """Return one line each of what slides, what moves with plates, what does not move."""
    return tuple(costs(cook, offer.plan, now)) if offer is not None else ()


def taken(cook: Cook, wish: TakeOption, by: str, at: datetime, now: datetime) -> Decision:
    """Adopt what was tapped, made again from this moment; ask again if it has become another."""
    from core.cook.slips.people import cover_named

    _allowed(cook, by, wish.part)
    found = offers(cook, now) if not wish.option.startswith("cover/") else ()
    offer = next((o for o in found if o.key == wish.option), None)
    if wish.option.startswith("cover/"):
        offer = cover_named(cook, wish.option, now)
    if offer is None:
        if not found:
            raise CannotPlanError("that choice is gone")
        return asked(cook, _again(cook, found, now), (), found, by, at)
    if wish.shown and shown_of(offer) != wish.shown:
        return asked(cook, _again(cook, (offer,), now), (), found or (offer,), by, at)
    return adopted(cook, offer, by, at, now)


PARTS: Mapping[Part, str] = {
    Part.PROMISE: "head count, plate time, menu or portion",
    Part.FIRE: "load order, pull, sear or fire",
    Part.SALADS: "dressing, holding or replacing salads",
    Part.PACE: "pace, lanes or tables",
}


def _allowed(cook: Cook, by: str, part: Part) -> None:
    """Refuse a tap outside somebody's part, naming whom to ask: being handed it gives no right."""
    cards = cook.cards
    if cards is None or may_take(cards, by, part):
        return
    lead = cards.leading(LEAD_OF[part]) if part in LEAD_OF else None
    names = dict.fromkeys(p.name for p in (cards.chef, lead) if p is not None)
    raise NotAllowedError(PARTS[part], " / ".join(names) or "the chef")


def _again(cook: Cook, found: tuple[Offer, ...], now: datetime) -> tuple[Line, ...]:
    first = say("It has changed since: {plates}.", plates=effect(found[0]))
    return (first, *what_moves(cook, found[0], now))[:LINES]


def adopted(cook: Cook, offer: Offer, by: str, at: datetime, now: datetime) -> Decision:
    """Book an offer: its facts, the new plan, and the word to exactly those it concerns."""
    plan = plan_of(cook)
    cards = cook.cards
    assert cards is not None
    new = with_hazards(cards, offer.plan)
    why = _reason(cook, offer, by)
    facts = [*struck(cook, at), *(Dated(at, fact) for fact in offer.facts)]
    if new.plates_at != plan.plates_at:
        facts.append(Dated(at, PlatesMoved(new.plates_at, plan.plates_at)))
    facts.append(Dated(at, PlanAdopted(new, cook.seq, why)))
    line = say("PLAN {letter} {clock}: {why}. Plates {plates}.", letter=Label(new.letter),
               clock=Clock(now), why=why, plates=Clock(new.plates_at))  # fmt: skip
    all_move = new.plates_at != plan.plates_at
    room = Notice(
        f"plan/{new.letter}/{cook.seq}",
        ("room",),
        (line,),
        Sound.ONCE if all_move else Sound.SILENT,
        picture=f"plan-{new.letter}.png",
        letter=new.letter,
    )
    # where plates move the room rings for all: nobody is told twice
    each = () if all_move else told(cook, new, by, now, moving=offer.facts)
    return Decision(tuple(facts), Answer((line,)), (*each, room))


def _reason(cook: Cook, offer: Offer, by: str) -> Line:
    """Return why the plan changes; that the chef was silent, where a lead acted."""
    someone = cook.cards.person(by) if cook.cards else None
    chef = cook.cards.chef if cook.cards else None
    handed = any(key.startswith("silent/change/") for key in cook.calls)
    if someone is None or chef is None or someone.id == chef.id or not handed:
        return offer.text
    return say("{what} ({who}, chef silent)", what=offer.text, who=Who(someone.id))


def _silent_from(cook: Cook, open_: Open) -> datetime:
    """Return when a lead may act: ten minutes without a word of the chef, and not long before
    something on the fires is due.
    """
    chef = cook.cards.chef if cook.cards else None
    spoke = [e.heard for e in cook.entries if chef and e.by == chef.id and e.heard > open_.asked]
    still = max([open_.asked, *spoke]) + timedelta(minutes=SILENT_MIN)
    coming = [
        run.start
        for run in (cook.plan.runs() if cook.plan else ())
        if run.on_fire and cook.phase(run.key) is Phase.WAITING and run.start >= open_.asked
    ]
    due = min(coming, default=still) - timedelta(minutes=SILENT_MIN)
    return max(still, due)


def silent_calls(cook: Cook) -> Iterator[Call]:
    """Yield the handing over of a question nobody answered to the lead whose part it is."""
    cards = cook.cards
    if cards is None:
        return
    for open_ in cook.questions.values():
        question = open_.question
        if open_.answered is not None or not question.key.startswith("change/"):
            continue
        parts = [c.wish.part for c in question.choices if isinstance(c.wish, TakeOption)]
        leads = [cards.leading(LEAD_OF[part]) for part in parts if part in LEAD_OF]
        to = tuple(dict.fromkeys(p.id for p in leads if p is not None and p.id not in question.to))
        if not to or f"silent/{question.key}" in cook.calls:
            continue
        due = _silent_from(cook, open_)
        lines = question.lines
        line = say("Chef silent {minutes}. Yours now: {what}", minutes=Qty(SILENT_MIN, "min", 0),
                   what=lines[0] if lines else Label(""))  # fmt: skip
        words = tuple(choice.line for choice in question.choices)
        yield Call(f"silent/{question.key}", due, to, line, Sound.ONCE, "silent", question.key,
                   choices=words)  # fmt: skip
