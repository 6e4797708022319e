"""Questions about the running cook, by the name the phrases give them."""

from __future__ import annotations

from datetime import datetime

from core.cook.service.asked import catch_up, how_long, when_job, when_light, who_moved
from core.cook.service.boxes import first_answer
from core.cook.service.forecast import left_answer
from core.cook.service.leftovers import leftovers_answer
from core.cook.service.portions import seconds_answer
from core.cook.service.timers import timers_answer
from core.cook.state import Cook
from core.model import Answer


def answered(cook: Cook, what: str, arg: str, person: str, now: datetime) -> Answer | None:
    """Return the answer to a question of this area; None if it is none."""
    match what:
        case "left":
            chef = cook.cards.chef if cook.cards else None
            return left_answer(cook, now, chef=chef is not None and chef.id == person)
        case "catch-up":
            return catch_up(cook, person, now)
        case "moved":
            return who_moved(cook, arg)
        case "first":
            return first_answer(cook, now)
        case "leftovers":
            return leftovers_answer(cook, now)
        case "seconds":
            return seconds_answer(cook)
        case "timers":
            return timers_answer(cook, person, now)
        case "light":
            return when_light(cook, now, datetime.fromisoformat(arg) if arg else None)
        case "when":
            verb, _, subject = arg.partition(" ")
            return when_job(cook, verb, subject, now)
        case "how-long":
            return how_long(cook, arg, now)
        case _:
            return None
