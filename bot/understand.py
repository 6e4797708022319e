"""From words to what the core can do: wishes are decided, questions are answered.

A clarifying question of the bot's own ("which one?") is kept in memory only: the words are still
on the screen, and after a restart they can be said again.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import assert_never

from bot.phrases import Asked, Ear, Nothing, Queried, Unclear, Wished, parse
from bot.phrases import help as help_lines
from bot.phrases.kitchen import KITCHEN_WORDS
from bot.render import render
from bot.replies import Reply
from core.ask import AskContext, ask
from core.cook import Cook, Decision, Notice, Phase, decide
from core.cook.decision import booked
from core.cook.load_out import load_out_answer
from core.cook.safety.made import goods_of, made_of
from core.cook.safety.probes import trusted
from core.cook.service.queries import answered
from core.cook.service.review import number_wanted
from core.cook.subjects import in_order, key_of
from core.facts import AnswerCall, Choose, RaiseAlarm, ShowLabel, Wish
from core.house import yields_of
from core.model import Answer, Label, Lead, Sound, Verdict, Who, say
from core.outlook import look, mine, next_up, running_cook, status, who
from core.rights import check_right

ALLERGY = re.compile(r"al+erg|celiac|coeliac|anaphyl|anafil", re.IGNORECASE)

PHOTO_WAITS = timedelta(minutes=10)
LONGEST_NAME = 40


@dataclass(frozen=True, slots=True)
class Asking:
    """A question of ours that waits for a tap: the words it was about, and what may be added."""

    text: str
    choices: tuple[str, ...]
    seq: int


@dataclass(slots=True)
class Understanding:
    """Reads messages for one dispatcher; remembers what it asked whom."""

    _asking: dict[tuple[str, str], Asking] = field(default_factory=dict)
    _photos: dict[tuple[str, str], tuple[str, datetime]] = field(default_factory=dict)

    def decision(self, reply: Reply, now: datetime) -> Decision:
        """Return what a message makes of its cook.

        Raises
        ------
        KitchenError
            If it cannot be; to be answered in words.
        """
        person = reply.person or ""
        where = (reply.cook_id, person)
        asking = self._asking.pop(where, None)
        text, reply = self._with_photo(reply, asking, where, now)
        if text is None:
            return Decision(answer=Answer((), question=say("Photo kept. Of what? Say: label mayo")))
        meant = parse(text, ear_for(reply, now))
        if asking is not None and isinstance(meant, Wished):
            again = _tapped(asking, meant, reply.cook, person)
            if again is not None:
                text, meant = again, parse(again, ear_for(reply, now))
        match meant:
            case Wished(wishes=wishes, at=at):
                wishes = tuple(_about(wish, reply.asked) for wish in wishes)
                return wished(reply.cook, wishes, person, _when(reply, at, now), now)
            case Queried(what="sos"):
                return wished(reply.cook, (RaiseAlarm(""),), person, now, now)
            case Queried(what=what, arg=arg):
                return Decision(answer=queried(reply, what, arg, now))
            case Asked(text=question):
                answer = self._asked(reply, question, now)
                if answer.verdict is Verdict.UNKNOWN and ALLERGY.search(question):
                    return to_allergy_lead(reply)
                return Decision(answer=answer)
            case Unclear(line=line, choices=choices):
                self._remember(reply, text, Answer((), question=line, choices=choices))
                return Decision(answer=Answer((), question=line, choices=choices))
            case Nothing():
                return Decision() if not reply.heard.message.private else _unheard(text)
            case _:
                assert_never(meant)

    def _with_photo(
        self, reply: Reply, asking: Asking | None, where: tuple[str, str], now: datetime
    ) -> tuple[str | None, Reply]:
        """Return the words to read, and the message with the photo that goes with them.

        A photo without words is of the label that was asked for; else its words are waited for.
        """
        if reply.photo is None:
            photo, until = self._photos.pop(where, (None, now))
            return reply.text, replace(reply, photo=photo if now < until else None)
        text = labelled(reply, asking.text if asking else "", now)
        if text is None:
            self._photos[where] = (reply.photo, now + PHOTO_WAITS)
        return text, reply

    def _asked(self, reply: Reply, question: str, now: datetime) -> Answer:
        answer = ask(question, context_for(reply, now))
        if answer.question is not None and answer.choices:
            self._remember(reply, question, answer)
        return answer

    def _remember(self, reply: Reply, text: str, answer: Answer) -> None:
        zone = reply.voice.zone
        choices = tuple(render(choice, reply.lang, zone) for choice in answer.choices)
        where = (reply.cook_id, reply.person or "")
        self._asking[where] = Asking(text, choices, reply.cook.seq)


def labelled(reply: Reply, asked_about: str, now: datetime) -> str | None:
    """Return what is said by a photo: its own words, else which label somebody waits for.

    None if nobody can tell. `asked_about` are the words our last question was about.
    """
    ear, text = ear_for(reply, now), reply.text
    if text:
        is_label = isinstance(parse(text, ear), Wished)
        return text if is_label or len(text) > LONGEST_NAME else f"label {text}"
    if asked_about and _shows(parse(asked_about, ear)):
        return asked_about
    calls = (reply.cook.calls.get(reply.asked or ""), *reply.cook.open_calls(reply.person or ""))
    wanted = (call.call.about for call in calls if call and call.call.kind == "label")
    first = next((what for what in wanted if what), None)
    return f"label {first}" if first else None


def _shows(meant: object) -> bool:
    return isinstance(meant, Wished) and any(isinstance(w, ShowLabel) for w in meant.wishes)


def to_allergy_lead(reply: Reply) -> Decision:
    """Return word to who leads on allergies: what was said of one and not understood is theirs."""
    cards = reply.cook.cards
    lead = (cards.leading(Lead.ALLERGY) or cards.chef) if cards else None
    who = Label(lead.name if lead else "chef")
    line = say("{verdict}. Tell {who} now. Nothing goes to them before {who} says so.",
               verdict=Verdict.NOT_CONFIRMED, who=who)  # fmt: skip
    answer = Answer((line,), Verdict.NOT_CONFIRMED)
    if lead is None or lead.id == reply.person:
        return Decision(answer=answer)
    told = say("Allergy, from {name}: {text}", name=Who(reply.person or ""),
               text=Label(reply.text[:60]))  # fmt: skip
    key = f"allergy/{reply.heard.id}"
    return Decision((), answer, (Notice(key, (lead.id,), (told,), Sound.ALARM, kind="finding"),))


def _unheard(text: str) -> Decision:
    """Return that nothing was booked: alone with the bot, silence would read as 'heard'."""
    line = say("Not booked: '{text}'. 'help' says what I hear.", text=Label(text[:40]))
    return Decision(answer=Answer((line,)))


def _tapped(asking: Asking, meant: Wished, cook: Cook, person: str) -> str | None:
    """Return the words a tap on our own question stands for; None if it answers something newer."""
    if len(meant.wishes) != 1 or not isinstance(meant.wishes[0], Choose):
        return None
    number = meant.wishes[0].number
    newer = [x.seq for x in cook.open_calls(person)]
    newer += [x.seq for x in cook.open_questions(person)]
    if any(seq > asking.seq for seq in newer) or not 1 <= number <= len(asking.choices):
        return None
    return f"{asking.text} {asking.choices[number - 1]}"


def _about(wish: Wish, key: str | None) -> Wish:
    """Return a tap or an 'ok' as one to the message it was put under."""
    match wish:
        case AnswerCall(key=None):
            return AnswerCall(key)
        case Choose(number=number, question=None):
            return Choose(number, key)
        case _:
            return wish


def _when(reply: Reply, at: datetime | None, now: datetime) -> datetime:
    """Return when it happened: as stated, else as sent (a tick given offline keeps its time)."""
    return at if at is not None else min(reply.heard.message.sent, now)


def wished(cook: Cook, wishes: tuple[Wish, ...], by: str, at: datetime, now: datetime) -> Decision:
    """Decide wishes one after the other; all of them or, on an error, none."""
    whole = Decision()
    for wish in wishes:
        check_right(cook, wish, by)
        one = decide(cook, wish, by=by, at=at, now=now)
        cook = booked(cook, one.facts, by, now)
        whole = _joined(whole, one)
    return whole


def _joined(first: Decision, second: Decision) -> Decision:
    if first.answer is None or second.answer is None:
        answer = first.answer or second.answer
    else:
        lines = (*first.answer.lines, *second.answer.lines)[:4]
        numbers = (*first.answer.numbers, *second.answer.numbers)
        last = second.answer
        answer = Answer(lines, last.verdict, numbers, None, last.question, last.choices)
    return Decision((*first.facts, *second.facts), answer, (*first.notices, *second.notices))


def queried(reply: Reply, what: str, arg: str, now: datetime) -> Answer:
    """Return where things stand."""
    cook, person = reply.cook, reply.person or ""
    match what:
        case "status" | "plan":
            return status(cook, now)
        case "check":
            return look(cook, arg)
        case "load-out":
            return load_out_answer(cook)
        case "cook":
            return running_cook(cook, now)
        case "next":
            return next_up(cook, person)
        case "me":
            return mine(cook, person)
        case "who":
            return who(cook)
        case "help":
            member = cook.cards.person(person) if cook.cards else None
            return Answer(tuple(help_lines(reply.lang, member.role if member else None)))
        case what if what in KITCHEN_WORDS:
            return Answer((say("Cards are made alone with me, by the chef or a lead."),))
        case _:
            found = answered(cook, what, arg, person, now)
            if found is not None:
                return found
            return Answer((say("I don't know '{what}' yet.", what=Label(f"{what} {arg}".strip())),))


def context_for(reply: Reply, now: datetime) -> AskContext:
    """Return what a quick question may draw on."""
    cook = reply.cook
    member = cook.cards.person(reply.person or "") if cook.cards else None
    return AskContext(
        cards=cook.cards,
        lang=reply.lang,
        now=now,
        heads=cook.heads or None,
        makes=cook.plan.make if cook.plan else (),
        readings=tuple(reversed(trusted(cook))),
        made=made_of(cook),
        role=member.role if member else None,
        house=yields_of(cook.house.taken),
        cook=cook if cook.plan else None,
    )


def ear_for(reply: Reply, now: datetime) -> Ear:
    """Return the names that can be meant in this cook, now."""
    cook = reply.cook
    cards, plan = cook.cards, cook.plan
    return Ear(
        now=now,
        zone=reply.voice.zone,
        languages=reply.voice.languages,
        who=reply.person or "",
        loads=tuple(x.name for x in plan.loads) if plan else (),
        units=tuple(dict.fromkeys(r.unit for r in plan.runs())) if plan else (),
        stations=tuple(s.id for s in cards.kit.stations) if cards else (),
        dishes=tuple((d.id, d.name) for d in cards.dishes) if cards else (),
        people=tuple((p.id, p.name) for p in cards.crew) if cards else (),
        tasks=tuple(key_of(i) for i in in_order(plan)) if plan else (),
        plates_at=cook.plates_at,
        heads=cook.heads or None,
        running=_in_phase(cook, Phase.RUNNING),
        over=_in_phase(cook, Phase.OVER, Phase.GONE),
        photo=reply.photo,
        wants_number=number_wanted(cook, reply.person or "") is not None,
        kinds={s.id: s.kind.value for s in cards.kit.stations} if cards else {},
        probes=tuple(p.id for p in cards.kit.probes) if cards else (),
        goods=goods_of(cards) if cards else (),
        off=frozenset(cook.safety.off),
    )


def _in_phase(cook: Cook, *phases: Phase) -> frozenset[str]:
    items = in_order(cook.plan) if cook.plan else ()
    return frozenset(key_of(i) for i in items if cook.phase(key_of(i)) in phases)
