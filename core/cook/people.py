"""Taking somebody onto the crew while the cook is under way."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from core.cook.decision import Dated, Decision
from core.cook.state import Cook
from core.errors import CannotPlanError, NotAllowedError
from core.facts import AddPerson, PersonAdded
from core.model import Answer, Cards, Role, Who, say

MOST_PEOPLE = 300


def person_added(cook: Cook, wish: AddPerson, by: str, at: datetime) -> Decision:
    """Return the fact that somebody joined; chef and leads may add, nobody adds a lead."""
    cards = cook.cards
    assert cards is not None  # `decide` refuses before the cook has cards
    if not may_add(cards, by):
        chef = cards.chef
        raise NotAllowedError("the crew", chef.name if chef else "the chef")
    if cards.person(wish.person.id) is not None:
        raise CannotPlanError("somebody on this crew is called that already")
    if len(cards.crew) >= MOST_PEOPLE:
        raise CannotPlanError("this crew is full")
    plain = replace(wish.person, name=wish.person.id, leads=())
    fact = Dated(at, PersonAdded(plain))
    return Decision((fact,), Answer((say("{who} is on the crew.", who=Who(plain.id)),)))


def may_add(cards: Cards, by: str) -> bool:
    """Say whether a person may take others onto the crew: the chef and every lead."""
    someone = cards.person(by)
    return someone is not None and (someone.role is Role.CHEF or bool(someone.leads))
