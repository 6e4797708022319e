"""Quick questions of safety: alarms first, then food, then allergens.

Within a rank the readers are tried in order and the first that reads a line answers it, so that a
line is never two safety questions at once.

asked_emergency.py  alarms and the emergency card
asked_doneness.py   is it done, when to look
asked_clocks.py     food out of temperature
asked_boxes.py      boxes and tubs found at a temperature
asked_cooling.py    cooling and reheating
asked_hazards.py    marinade, garlic, drips, sick crew, deliveries, thermometers
asked_site.py       clearances, coals in a tent, raw egg, red beans
asked_limits.py     what the rule book asks
asked_allergens.py  what is in it
safety_said.py      temperatures, spans, rule books and guests of a line
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from core.ask.asked_allergens import (
    answer_contains,
    answer_instead,
    answer_swap,
    read_contains,
    read_instead,
    read_swap,
)
from core.ask.asked_boxes import answer_found, read_found
from core.ask.asked_clocks import answer_out, read_out
from core.ask.asked_cooling import (
    answer_cool,
    answer_cooled,
    answer_reheat,
    read_cool,
    read_cooled,
    read_reheat,
)
from core.ask.asked_doneness import answer_done, answer_look, read_done, read_look
from core.ask.asked_emergency import answer_alarm, read_alarm
from core.ask.asked_hazards import (
    answer_ruled,
    read_acid,
    read_cross,
    read_delivery,
    read_drip,
    read_garlic,
    read_leftovers,
    read_marinade,
    read_parked,
    read_probe,
    read_sick,
    read_thaw,
    read_two_goes,
)
from core.ask.asked_limits import (
    answer_hold,
    answer_stay,
    answer_target,
    read_hold,
    read_stay,
    read_target,
)
from core.ask.asked_site import read_clearance, read_enclosed, read_raw_egg, read_red_beans
from core.ask.said import Said, said
from core.ask.topic import AskContext, Rank, Topic
from core.model import Answer
from core.words import Token

Read = Callable[[Said, AskContext], Any]
Tell = Callable[[Any, AskContext], Answer]
Pairs = tuple[tuple[Read, Tell], ...]


@dataclass(frozen=True, slots=True)
class Picked:
    """A question and who answers it."""

    question: object
    tell: Tell


_ALARMS: Pairs = ((read_alarm, answer_alarm),)

_FOOD: Pairs = (
    (read_probe, answer_ruled),
    (read_sick, answer_ruled),
    (read_drip, answer_ruled),
    (read_cross, answer_ruled),
    (read_parked, answer_ruled),
    (read_garlic, answer_ruled),
    (read_marinade, answer_ruled),
    (read_leftovers, answer_ruled),
    (read_two_goes, answer_ruled),
    (read_thaw, answer_ruled),
    (read_acid, answer_ruled),
    (read_clearance, answer_ruled),
    (read_enclosed, answer_ruled),
    (read_red_beans, answer_ruled),
    (read_raw_egg, answer_ruled),
    (read_target, answer_target),
    (read_hold, answer_hold),
    (read_stay, answer_stay),
    (read_delivery, answer_ruled),
    (read_cool, answer_cool),
    (read_cooled, answer_cooled),
    (read_reheat, answer_reheat),
    (read_out, answer_out),
    (read_found, answer_found),
    (read_look, answer_look),
    (read_done, answer_done),
)

_ALLERGENS: Pairs = (
    (read_swap, answer_swap),
    (read_instead, answer_instead),
    (read_contains, answer_contains),
)


def _topic(name: str, rank: Rank, pairs: Pairs) -> Topic[Picked]:
    def read(tokens: Sequence[Token], text: str, context: AskContext) -> Picked | None:
        line = said(tokens, text)
        for reads, tells in pairs:
            question = reads(line, context)
            if question is not None:
                return Picked(question, tells)
        return None

    def answer(picked: Picked, context: AskContext) -> Answer:
        return picked.tell(picked.question, context)

    return Topic(name, rank, read, answer)


TOPICS: tuple[Topic[Picked], ...] = (
    _topic("alarm", Rank.EMERGENCY, _ALARMS),
    _topic("food safety", Rank.SAFETY, _FOOD),
    _topic("allergens", Rank.ALLERGEN, _ALLERGENS),
)
