"""From decisions and calls to messages owed: who reads them, in which language, how loud.

A call rings the person who must act, privately where they can be reached, and the crew's room
gets the same line, silent, in the event's languages. An answer goes back where it was asked.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo

from bot.curves import picture_name
from bot.directory import Address, Directory
from bot.naming import named, names_of
from bot.ports import (
    HEAD_HERE,
    HEAD_SHOWN,
    Happened,
    Heard,
    Mention,
    NewSend,
    Outgoing,
    Tag,
)
from bot.render import render, render_answer, render_error, stacked
from core.calls import merged
from core.cook import Cook, Decision, Notice
from core.cook.service.card import card_lines
from core.cook.service.silence import OWN
from core.errors import KitchenError
from core.facts import PlanAdopted
from core.model import Answer, Call, Cards, Clock, Label, Line, Number, Plan, Qty, Sound, say
from core.words import language_of

URGENT, ANSWER, CHATTER = 0, 1, 2
ROOM = ("room",)
THUMBS = frozenset("👍👌✅✔☑🆗🫡🙌💪🔥")
STALE_MIN = 15.0
STALE_SHOWN = 2


def chain_head(seq: int, head: str) -> Line:
    """Return how far the log's chain stands: a later edit shows against it."""
    return say("Log to #{seq}: {head}.", seq=seq, head=Label(head[:HEAD_SHOWN]))


@dataclass(frozen=True, slots=True)
class Voice:
    """How the bot speaks to one cook's crew."""

    directory: Directory
    cook_id: str
    cards: Cards | None
    now: datetime | None = None

    @property
    def zone(self) -> tzinfo:
        """Return the site's zone; UTC before there is one."""
        return self.cards.event.zone if self.cards else UTC

    @property
    def languages(self) -> tuple[str, ...]:
        """Return the languages of the crew's room."""
        return self.cards.event.languages if self.cards else ("en",)

    def language(self, person: str | None) -> str:
        """Return a person's own language, else the event's first."""
        someone = self.cards.person(person) if self.cards and person else None
        return someone.languages[0] if someone and someone.languages else self.languages[0]

    def text(self, line: Line, person: str | None) -> str:
        """Return a line as this person reads it."""
        return render(self.named(line), self.language(person), self.zone, self.now)

    def picture(self, name: str | None) -> str | None:
        """Return the name a picture of this cook goes by everywhere."""
        return f"{self.cook_id}/{name}" if name else None

    def named(self, line: Line) -> Line:
        """Return a line that calls people by name."""
        return named(line, names_of(self.cards)) if self.cards else line

    def mentions(self, people: Sequence[str], network: str) -> tuple[Mention, ...]:
        """Return the people a message in a room rings, as far as the network knows them."""
        known = ((p, self.directory.account(self.cook_id, p, network)) for p in people)
        return tuple(Mention(who, self._name(p)) for p, who in known if who is not None)

    def _name(self, person: str) -> str:
        someone = self.cards.person(person) if self.cards else None
        return someone.name if someone else person

    def for_room(self, line: Line) -> tuple[str, ...]:
        """Return a line in all of the room's languages."""
        return tuple(stacked(self.named(line), self.languages, self.zone, self.now))

    def opening(self, decision: Decision, now: datetime) -> tuple[NewSend, ...]:
        """Return the first message of a cook, for the room: it stays pinned, with the picture."""
        plans = [d.fact.plan for d in decision.facts if isinstance(d.fact, PlanAdopted)]
        card = card_lines(self.cards, plans[0], now) if self.cards and plans else ()
        neck = decision.answer.lines[1:] if decision.answer else ()
        lines = [text for line in (*card, *neck) for text in self.for_room(line)]
        tag = Tag("room", ROOM, letter="A")
        picture = self.picture("plan-A.png")
        return self._for_rooms("o", Outgoing(tuple(lines), picture=picture, pin=True, tag=tag))

    def repinned(self, plan: Plan, now: datetime) -> tuple[NewSend, ...]:
        """Return the pinned message as the newest plan has it: an edit, which makes no sound."""
        if self.cards is None:
            return ()
        lines = [t for x in card_lines(self.cards, plan, now) for t in self.for_room(x)]
        picture = self.picture(f"plan-{plan.letter}.png")
        tag = Tag("room", ROOM, letter=plan.letter)
        message = Outgoing(tuple(lines), picture=picture, pin=True, tag=tag)
        return tuple(
            replace(send, edit_of=self._key("o", send.network, send.room))
            for send in self._for_rooms(f"p{plan.letter}", message)
        )

    def pinned(self, plan: Plan, now: datetime, room: Address) -> tuple[NewSend, ...]:
        """Return the plan card for a room that is new to the cook; it stays pinned there."""
        here = (room.network, room.room)
        cards = (s for s in self.repinned(plan, now) if (s.network, s.room) == here)
        return tuple(replace(s, key=self._key("o", *here), edit_of=None) for s in cards)

    def closing(self, seq: int, head: str) -> tuple[NewSend, ...]:
        """Return where the chain of a closed cook ends, for the room."""
        message = Outgoing(self.for_room(chain_head(seq, head)), tag=Tag("room", ROOM))
        return self._for_rooms("z", message)

    def chain(self) -> tuple[NewSend, ...]:
        """Return where the cook's chain of facts starts, for the room to hold it against."""
        line = say("Log {cook} starts at {head}.", cook=Label(self.cook_id),
                   head=Label(HEAD_HERE))  # fmt: skip
        return self._for_rooms("h", Outgoing(self.for_room(line), tag=Tag("room", ROOM)))

    def _for_rooms(self, kind: str, message: Outgoing) -> tuple[NewSend, ...]:
        rooms = self.directory.crew_rooms(self.cook_id)
        return tuple(
            NewSend(self._key(kind, at.network, at.room), at.network, at.room, message, ANSWER)
            for at in rooms
        )

    def _key(self, kind: str, network: str, room: str) -> str:
        return f"{kind}:{self.cook_id}:{network}/{room}"


@dataclass(frozen=True, slots=True)
class Reply:
    """A message heard, and everything needed to answer it."""

    heard: Heard
    directory: Directory
    cook: Cook
    cook_id: str
    now: datetime | None = None
    on: Outgoing | None = None
    """The message of ours that is answered, where the platform says so."""

    photo: str | None = None
    """The sha256 of a photo that came with it."""

    aloud: bool = False
    """Whether the answer is for everybody in the room, in all of its languages."""

    @property
    def person(self) -> str | None:
        """Return who said it: a person id, 'client', or None for a stranger."""
        return self.directory.person(self.heard.message, self.cook.cards)

    @property
    def voice(self) -> Voice:
        """Return how to speak to this crew."""
        return Voice(self.directory, self.cook_id, self.cook.cards, self.now)

    @property
    def text(self) -> str:
        """Return what was said; a tap as the number of its choice, a thumb up as 'ok'."""
        message = self.heard.message
        if message.choice is not None:
            return f"[{message.choice}]"
        if message.happened is Happened.REACTED:
            return "ok" if message.text in THUMBS else ""
        return message.text

    @property
    def asked(self) -> str | None:
        """Return the key of the call or question that is answered by reply, tap or reaction."""
        tag = self.on.tag if self.on else None
        return tag.keys[-1] if tag and tag.keys else None

    @property
    def lang(self) -> str:
        """Return the language to answer in: the words' own, else the person's."""
        spoken = None if self.text.startswith("/") else language_of(self.text)
        return spoken if spoken in {"en", "es"} else self.voice.language(self.person)

    def error(self, error: KitchenError) -> Decision:
        """Return a refusal in words."""
        rendered = render_error(error, self.lang, self.voice.zone, self.now)
        return Decision(answer=Answer(tuple(Line("{text}", {"text": Label(t)}) for t in rendered)))


def refusal(reply: Reply) -> Decision:
    """Return what a stranger hears: only people on the crew may speak to a cook."""
    heard = reply.heard.message
    name = Label((heard.name or heard.who)[:40])
    return Decision(answer=Answer((say("{name} is not on this crew. Ask the lead to add you.",
                                       name=name),)))  # fmt: skip


def apology(heard: Heard) -> NewSend:
    """Return what is said after a bug, once, so that nobody waits."""
    line = say("Something broke on my side. Not booked: please say it again.")
    message = Outgoing((render(line, "en", UTC),), tag=Tag("reply", (heard.message.who,)))
    where = heard.message
    return NewSend(f"r:{heard.id}:bug", where.network, where.room, message, ANSWER)


def reply_send(reply: Reply, decision: Decision) -> tuple[NewSend, ...]:
    """Return the answer to who asked; nothing where there is nothing to say."""
    answer = decision.answer
    if answer is None or not (answer.lines or answer.question):
        return ()
    lang, zone, heard = reply.lang, reply.voice.zone, reply.heard
    person = reply.person or heard.message.who
    lines = render_answer(_by_name(answer, reply.voice), lang, zone, reply.now)
    if reply.aloud:
        lines = tuple(text for line in answer.lines for text in reply.voice.for_room(line))
    letter = reply.cook.plan.letter if reply.cook.plan else None
    adopted = [d.fact for d in decision.facts if isinstance(d.fact, PlanAdopted)]
    letter = adopted[-1].plan.letter if adopted else letter
    message = Outgoing(
        tuple(lines),
        tuple(
            render(reply.voice.named(choice), lang, zone, reply.now) for choice in answer.choices
        ),
        picture=reply.voice.picture(picture_name(reply.cook, [d.fact for d in decision.facts])),
        reply_to=heard.message.ext_id,
        tag=Tag(
            "reply",
            (person,),
            answer.verdict,
            tuple(_on_site(number, zone) for number in answer.numbers),
            letter=letter,
            line=_script_line(heard),
        ),
    )
    key = f"r:{heard.id}:0"
    where = heard.message
    return (NewSend(key, where.network, where.room, message, ANSWER, must=True),)


def _by_name(answer: Answer, voice: Voice) -> Answer:
    lines = tuple(voice.named(line) for line in answer.lines)
    return replace(answer, lines=lines, question=answer.question and voice.named(answer.question))


def _on_site(number: Number, zone: tzinfo) -> Number:
    """Return a number whose instant has the site's offset."""
    if number.unit != "time" or not isinstance(number.value, str):
        return number
    at = datetime.fromisoformat(number.value)
    return replace(number, value=at.astimezone(zone).isoformat()) if at.tzinfo else number


def _script_line(heard: Heard) -> int | None:
    """Return the script line a rehearsed message came from."""
    head, _, tail = heard.message.ext_id.partition(":")
    return int(tail) if head == "line" and tail.isdigit() else None


def notice_sends(voice: Voice, notices: Sequence[Notice]) -> tuple[NewSend, ...]:
    """Return the messages of notices: to each person named, or to the crew's rooms."""
    return tuple(send for notice in notices for send in _notice(voice, notice))


def repinned(voice: Voice, decision: Decision) -> tuple[NewSend, ...]:
    """Return the edit of the pinned card where a decision adopts a plan."""
    adopted = [d for d in decision.facts if isinstance(d.fact, PlanAdopted)]
    last = adopted[-1].fact if adopted else None
    if not isinstance(last, PlanAdopted) or last.plan.letter == "A":
        return ()
    return voice.repinned(last.plan, voice.now or adopted[-1].at)


def _notice(voice: Voice, notice: Notice) -> tuple[NewSend, ...]:
    tag = Tag(notice.kind, notice.to, keys=(notice.key,), letter=notice.letter)
    base = Outgoing((), sound=notice.sound, picture=voice.picture(notice.picture), tag=tag)
    must = notice.sound is not Sound.SILENT
    sends: list[NewSend] = []
    if notice.to == ROOM:
        lines = tuple(text for line in notice.lines for text in voice.for_room(line))
        for n, at in enumerate(voice.directory.crew_rooms(voice.cook_id)):
            message = replace(base, lines=lines)
            sends.append(_send(f"n:{voice.cook_id}:{notice.key}:room{n}", at, message, must))
        return tuple(sends)
    alone = []
    for person in notice.to:
        at_person = voice.directory.private(voice.cook_id, person)
        if at_person is None:
            alone.append(person)
            continue
        lines = tuple(voice.text(line, person) for line in notice.lines)
        choices = tuple(voice.text(choice, person) for choice in notice.choices)
        message = replace(base, lines=lines, choices=choices)
        sends.append(_send(f"n:{voice.cook_id}:{notice.key}:{person}", at_person, message, must))
    return (*sends, *(_aloud(voice, notice, base, tuple(alone)) if must and alone else ()))


def _aloud(
    voice: Voice, notice: Notice, base: Outgoing, people: tuple[str, ...]
) -> Iterator[NewSend]:
    """Yield a notice for people who have no chat with us: in the crew's room, with their names.

    A word that must ring is worse lost than read by the others.
    """
    lines = tuple(text for line in notice.lines for text in voice.for_room(line))
    choices = tuple(voice.text(choice, people[0]) for choice in notice.choices)
    for n, at in enumerate(voice.directory.crew_rooms(voice.cook_id)):
        mention = voice.mentions(people, at.network)
        if mention:
            message = replace(base, lines=lines, choices=choices, mention=mention)
            key = f"n:{voice.cook_id}:{notice.key}:{'+'.join(people)}:room{n}"
            yield _send(key, at, message, True)


def _send(key: str, at: Address, message: Outgoing, must: bool) -> NewSend:
    return NewSend(key, at.network, at.room, message, URGENT if must else CHATTER, must=must)


def calls_sends(voice: Voice, calls: Sequence[Call], now: datetime) -> tuple[NewSend, ...]:
    """Return the messages of the calls that are due: each person's own, and the room's copy.

    Whom a call does not ring reads it in the room; what is one person's own never goes there.
    """
    how = voice.cards.event.calls if voice.cards else "both"
    unrung = tuple(c for c in calls if c.to != ROOM and not set(c.to) - set(c.quiet))
    calls = tuple(c for c in calls if c not in unrung)
    reached = {
        person: at
        for person in dict.fromkeys(p for call in calls for p in call.to)
        if how != "room" and (at := voice.directory.private(voice.cook_id, person)) is not None
    }
    sends = [
        _to_person(voice, group, person, reached[person], now)
        for person, group in merged(calls)
        if person in reached
    ]
    alone = tuple(c for c in calls if not reached.keys() & set(c.to) and c.kind != "review")
    shared = tuple(c for c in calls if c.kind not in OWN)
    rung = {tuple(c.key for c in g): g for person, g in merged(shared) if person in reached}
    copies = rung.values() if how != "person" else ()
    room = [_to_room(voice, group, now, ringing=False) for group in copies]
    room.append(_to_room(voice, unrung, now, ringing=False))
    room.append(_to_room(voice, alone, now, ringing=True))
    return (*sends, *(send for sent in room for send in sent))


def told(group: Sequence[Call], now: datetime) -> tuple[Line, ...]:
    """Return the lines of a message; many that are long overdue become one line and the newest."""
    old = [c for c in group if now - c.at > timedelta(minutes=STALE_MIN)]
    if len(old) <= STALE_SHOWN:
        return tuple(call.line for call in group)
    folded = say("Was due, not ticked: {n} from {first} to {last}. The newest:",
                 n=Qty(len(old), "jobs", 0), first=Clock(old[0].at),
                 last=Clock(old[-1].at))  # fmt: skip
    fresh = tuple(call.line for call in group if call not in old)
    return (folded, *(call.line for call in old[-STALE_SHOWN:]), *fresh)


def _to_room(
    voice: Voice, group: tuple[Call, ...], now: datetime, *, ringing: bool
) -> tuple[NewSend, ...]:
    """Return the room's copy: silent where the people were rung themselves."""
    if not group:
        return ()
    lines = tuple(dict.fromkeys(text for line in told(group, now) for text in voice.for_room(line)))
    sound = max(call.sound for call in group) if ringing else Sound.SILENT
    people = tuple(dict.fromkeys(p for call in group for p in call.to if p not in ROOM))
    message = Outgoing(lines, sound=sound, tag=_tag("room", ROOM, group))
    return tuple(
        NewSend(
            f"c:{voice.cook_id}:{'+'.join(group[0].to)}:{group[0].key}:room{n}",
            at.network,
            at.room,
            replace(message, mention=voice.mentions(people, at.network)) if ringing else message,
            URGENT if ringing else CHATTER,
            must=ringing,
            good_until=good_until(group),
        )
        for n, at in enumerate(voice.directory.crew_rooms(voice.cook_id))
    )


def good_until(group: Sequence[Call]) -> datetime | None:
    """Return until when a call is news; later it is told in one digest. Alarms never go stale."""
    if any(call.sound is Sound.ALARM for call in group):
        return None
    return max(call.at for call in group) + timedelta(minutes=STALE_MIN)


def _to_person(
    voice: Voice, group: tuple[Call, ...], person: str, at: Address, now: datetime
) -> NewSend:
    first = group[0]
    sound = max(call.sound for call in group)
    lines = tuple(dict.fromkeys(voice.text(line, person) for line in told(group, now)))
    choices = tuple(voice.text(choice, person) for choice in group[-1].choices)
    message = Outgoing(lines, choices, sound, tag=_tag("call", (person,), group))
    key = f"c:{voice.cook_id}:{first.key}:{person}"
    until, was_due = good_until(group), min(first.at, now)  # from then on it counts as late
    return NewSend(
        key, at.network, at.room, message, URGENT, must=True, not_before=was_due, good_until=until
    )


def _tag(kind: str, to: tuple[str, ...], group: tuple[Call, ...]) -> Tag:
    keys = tuple(call.key for call in group)
    return Tag(kind, to, keys=keys, load=group[0].load, step=group[0].step)
