"""One cook and what its crew says to it: answers as they are read, and who else was told."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime

from bot.directory import NamesDirectory
from bot.ports import Heard, Incoming
from bot.render import render, render_answer
from bot.replies import Reply
from bot.understand import Understanding
from core.cook import Cook, Decision, decide
from core.cook.decision import booked
from core.errors import KitchenError
from core.facts import StartCook
from core.model import Cards, Moment, Sound

COOK = "talk-1"


@dataclass
class Talk:
    """Nothing is stored but the cook itself."""

    cards: Cards
    cook: Cook
    said: int = 0
    last: Decision = field(default_factory=Decision)
    _ears: Understanding = field(default_factory=Understanding)

    def at(self, clock: str) -> datetime:
        """Return an instant of the day from site time."""
        hour, minute = clock.split(":")
        return self.cards.event.instant(Moment(0, int(hour), int(minute)))

    def says(self, clock: str, who: str, text: str) -> str:
        """Say something, book it, and return the answer as it is read."""
        now, self.said = self.at(clock), self.said + 1
        message = Incoming("talk", str(self.said), f"@{who}", who, text, now, private=True)
        names = NamesDirectory("talk", COOK)
        reply = Reply(Heard(self.said, message), names, self.cook, COOK, now)
        try:
            self.last = self._ears.decision(reply, now)
        except KitchenError as error:
            self.last = reply.error(error)
        self.cook = booked(self.cook, self.last.facts, reply.person or "stranger", now)
        answer = self.last.answer
        lines = render_answer(answer, reply.lang, self.cards.event.zone, now) if answer else []
        return "\n".join(lines)

    @property
    def numbers(self) -> dict[str, float | str]:
        """Return the numbers of the last answer."""
        answer = self.last.answer
        return {n.name: n.value for n in answer.numbers} if answer else {}

    @property
    def choices(self) -> list[str]:
        """Return the choices offered by the last message, to whoever may tap."""
        answer = self.last.answer
        own = list(answer.choices) if answer else []
        asked = [c for n in self.last.notices for c in n.choices]
        return [render(c, "en", self.cards.event.zone) for c in own or asked]

    def told(self, person: str) -> list[str]:
        """Return what somebody was told by the last message, with sound."""
        zone = self.cards.event.zone
        return [
            "\n".join(render(line, "en", zone) for line in n.lines)
            for n in self.last.notices
            if person in n.to and n.sound is not Sound.SILENT
        ]

    @property
    def rung(self) -> set[str]:
        """Return everybody the last message rang."""
        loud = [n for n in self.last.notices if n.sound is not Sound.SILENT]
        return {person for n in loud for person in n.to}

    @property
    def letter(self) -> str:
        """Return the letter of the plan in force."""
        return self.cook.plan.letter if self.cook.plan else ""


def started(cards: Cards, clock: str = "09:00") -> Talk:
    """Return a talk with a cook that has just started."""
    hour, minute = clock.split(":")
    then = cards.event.instant(Moment(0, int(hour), int(minute)))
    chef = cards.chef.id if cards.chef else ""
    first = decide(Cook(), StartCook(COOK, cards, {}), by=chef, at=then, now=then)
    return Talk(cards, booked(Cook(), first.facts, chef, then))


def talk(cards: Cards, *lines: tuple[str, str, str]) -> Talk:
    """Return a talk in which this was said: clock, who, words."""
    one = started(cards)
    for clock, who, text in lines:
        one.says(clock, who, text)
    return one
