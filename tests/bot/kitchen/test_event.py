"""An event set up in chat, its capacity shown before it is promised, and started by one tap."""

from __future__ import annotations

import pytest

from bot.accounts import HOUSE
from bot.directory import NamesDirectory
from bot.ports import CrewRoom, NewFact, Seat
from core.facts import CardKind, Measure, MeasurementTaken
from core.house import STREAM
from core.model import Profile
from tests.bot.kitchen.site import CHEF, COOK, LAMB, OWNER, House

LUNCH = (
    "new event Summer lunch",
    "20 June",
    "30",
    "orchard golden",
    "lamb rump 22, celeriac 8, leek",
    "14:00-14:40",
    "all at once",
    "es",
    "112, Mill Lane 3, gate 2",
)


@pytest.fixture
async def house() -> House:
    made = House()
    await made.open()
    return made


async def test_an_event_is_set_up_question_by_question_and_kept_as_a_folder(house: House) -> None:
    said = await house.say(CHEF, *LUNCH)
    assert said[0] == "Summer lunch, Saturday 2026-06-20: 30 heads, plates 14:00."
    assert said[1] == "Lamb rump 22 · Celeriac steak 8 · Leek and potato salad"
    assert (await house.say(CHEF, "save"))[0] == "Summer lunch saved, version 1."
    saved = (await house.book()).card(CardKind.EVENT, "summer-lunch")
    assert saved is not None
    assert {"event.toml", "kit.toml", "crew.toml", "dishes/lamb-rump.toml"} <= set(saved.texts)
    assert "dishes/brine-concentrate.toml" in saved.texts  # what a dish is made from comes along
    assert "dishes/portobello-halloumi.toml" not in saved.texts


async def test_capacity_is_shown_before_it_is_promised(house: House) -> None:
    said = await house.say(CHEF, *LUNCH[:2], "300", LUNCH[3], "lamb rump, leek", *LUNCH[5:])
    assert said[2].startswith("300 heads do not fit. ")


async def test_more_eaters_of_a_dish_than_heads_are_refused(house: House) -> None:
    said = await house.say(CHEF, *LUNCH[:4], "lamb rump 52")
    assert said[0] == "lamb-rump for 52 heads, but 30 heads in all. Which is wrong?"


@pytest.mark.parametrize("line", ["31 June", "2020-01-01", "whenever"])
async def test_a_day_that_is_none_or_over_is_refused(house: House, line: str) -> None:
    await house.say(CHEF, LUNCH[0], line)
    assert "day" not in (await house.book()).drafts_of("ana")[0].values


async def test_a_dish_nobody_has_is_refused_with_what_there_is(house: House) -> None:
    said = await house.say(CHEF, *LUNCH[:4], "unicorn 20")
    assert said[0].startswith("I know no dish 'unicorn'. There is: ")


async def test_a_dish_captured_here_can_be_served(house: House) -> None:
    await house.say(CHEF, *LAMB, "save")
    await house.say(CHEF, *LUNCH[:4], "lamb neck", *LUNCH[5:], "save")
    saved = (await house.book()).card(CardKind.EVENT, "summer-lunch")
    assert saved is not None
    assert "dishes/lamb-neck.toml" in saved.texts


async def test_no_name_of_the_crew_is_in_the_houses_facts(house: House) -> None:
    await house.say(CHEF, *LUNCH, "save")
    text = " ".join(str(e.fact) for e in await house.store.read(STREAM))
    assert "Carmen" not in text
    assert (await house.store.people.names(HOUSE))["carmen"] == "Carmen"


async def test_cook_shows_what_starts_and_one_tap_starts_it(house: House) -> None:
    await house.say(CHEF, *LUNCH, "save")
    said = await house.say(CHEF, "/cook summer lunch")
    assert said[0].startswith("Summer lunch: first ")
    assert " calls, " in said[1]
    assert said[1].endswith("30 heads.")
    assert said[-1] == "Start it now?"
    said = await house.say(CHEF, "", tap=1)
    assert said[0].startswith("summer-lunch-1 started.")
    cook = await house.dispatcher.cook("summer-lunch-1")
    assert cook.cards is not None
    assert cook.cards.event.profile is Profile.ES
    assert cook.cards.event.emergency is not None
    assert cook.cards.event.emergency.number == "112"
    carmen = cook.cards.person("carmen")
    assert carmen is not None
    assert carmen.name == "Carmen"


async def test_started_twice_it_is_one_cook(house: House) -> None:
    await house.say(CHEF, *LUNCH, "save", "/cook summer lunch", "start")
    await house.say(CHEF, "/cook summer lunch")
    assert await house.say(CHEF, "start") == ["summer-lunch-1 is open."]


async def test_people_are_kept_for_the_next_event(house: House) -> None:
    await house.store.people.seat(Seat(COOK, "carmen", "fake", "31", "dm-31"))
    await house.say(CHEF, *LUNCH, "save", "/cook summer lunch", "start")
    assert house.accounts.private("summer-lunch-1", "carmen") is not None
    assert house.accounts.account("summer-lunch-1", "ana", "fake") == CHEF


async def test_somebody_of_the_same_id_but_another_name_is_not_taken_for_them(
    house: House,
) -> None:
    await house.store.people.name("other-1", "carmen", "Carmela")
    await house.store.people.seat(Seat("other-1", "carmen", "fake", "66", "dm-66"))
    await house.say(CHEF, *LUNCH, "save", "/cook summer lunch", "start")
    assert house.accounts.account("summer-lunch-1", "carmen", "fake") is None


async def test_a_room_whose_cook_is_closed_comes_along(house: House) -> None:
    await house.store.people.open_room(CrewRoom("fake", "-100", COOK))
    await house.accounts.refresh([COOK])
    await house.say(CHEF, *LUNCH, "save")
    await house.say(CHEF, "close cook")
    cook = await house.dispatcher.cook(COOK)
    if not cook.closed:  # where closing asks first
        await house.say(CHEF, "", tap=1)
    assert (await house.dispatcher.cook(COOK)).closed
    await house.heard("-100")
    await house.say(OWNER, "/cook summer lunch", "start")
    assert list(await house.store.people.rooms()) == [CrewRoom("fake", "-100", "summer-lunch-1")]


async def test_the_owner_who_starts_a_cook_without_a_chef_is_its_chef(house: House) -> None:
    await house.say(CHEF, *LUNCH, "save")
    await house.store.people.unseat(Seat(COOK, "ana", "fake", CHEF, None))
    await house.accounts.refresh()
    await house.say(OWNER, "/cook summer lunch", "start")
    assert house.accounts.account("summer-lunch-1", "ana", "fake") == OWNER


async def test_who_asks_to_be_forgotten_is_nameless_on_saved_events_too(house: House) -> None:
    await house.store.people.seat(Seat(COOK, "carmen", "fake", "31", "dm-31"))
    await house.accounts.refresh([COOK])
    await house.say(CHEF, *LUNCH, "save")
    await house.say("31", "forget me now")
    assert (await house.store.people.names(HOUSE))["carmen"] == "carmen"
    assert await house.store.verify(STREAM) is None


async def test_what_the_house_measured_stands_beside_a_card(house: House) -> None:
    await house.say(CHEF, *LAMB, "save")
    now = house.clock.now()
    kept = [
        NewFact(now, "bot", MeasurementTaken(Measure.YIELD, "lamb neck", value, "", now, cook))
        for cook, value in (("x-1", 0.80), ("x-2", 0.82), ("x-3", 0.84))
    ]
    seq, _ = await house.store.head(STREAM)
    await house.store.append(STREAM, seq, kept, now)
    said = await house.say(CHEF, "card lamb neck")
    assert "House, 3 cooks: lamb neck cooking yield 82 %." in " ".join(said)  # by hand: the mean


async def test_a_house_speaks_the_language_a_card_was_begun_in(house: House) -> None:
    said = await house.say(CHEF, "nuevo plato cuello", "4", "1,2 kg")
    assert said == ["peso comprado 1200 g.", "¿Cuánto pesan limpias y crudas, todas juntas?"]
    assert await house.say(CHEF, "para") == ["cuello queda aparcado. 'sigue' lo retoma."]
    assert (await house.say(CHEF, "sigue"))[0] == "cuello, donde estábamos."


def test_a_console_that_turns_to_a_new_cook_still_hears_the_old_one_call() -> None:
    directory = NamesDirectory("console", "old-1")
    directory.turn_to("new-1")
    assert directory.private("old-1", "bo") == directory.private("new-1", "bo")
    assert directory.private("other-1", "bo") is None
