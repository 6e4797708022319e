"""Cards written as TOML read back as the same cards."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bot.cards import dish_in, read_event
from bot.cards.crew import read_crew
from bot.cards.event import read_event_sheet
from bot.cards.section import Sheet
from bot.cards.writing import crew_text, dish_text, event_text
from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from core.model import Dish

EVENTS = [read_event(GOLDEN_WEDDING), read_event(HARVEST_SUPPER)]
DISHES = [dish for event in EVENTS for dish in event.dishes]


@pytest.mark.parametrize("dish", DISHES, ids=lambda d: d.id)
def test_a_dish_is_the_same_after_writing_and_reading(dish: Dish) -> None:
    assert dish_in(f"{dish.id}.toml", dish_text(dish)) == dish


@pytest.mark.parametrize("n", range(len(EVENTS)))
def test_an_event_and_a_crew_are_the_same_after_writing_and_reading(n: int) -> None:
    event = Sheet("event.toml", event_text(EVENTS[n].event))
    crew = Sheet("crew.toml", crew_text(EVENTS[n].crew))
    assert read_event_sheet(event).event == EVENTS[n].event
    assert read_crew(crew).crew == EVENTS[n].crew
    assert event.errors == crew.errors == []


@pytest.mark.parametrize("name", ['a"b', "a\\b", "a'''b", "ñ\u00a0x", 'x" ]\u200b[[step]]'])
def test_no_name_can_add_a_key(name: str) -> None:
    dish = replace(DISHES[0], name=name)
    text = dish_text(dish)
    sheet = Sheet("x.toml", text)
    assert sheet.readable
    assert sheet.data["name"] == name
    assert len(text.splitlines()) == len(dish_text(DISHES[0]).splitlines())
