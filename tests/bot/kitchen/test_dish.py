"""A dish captured in chat, the way a bench does it: one-thumbed, out of order, over days."""

from __future__ import annotations

import pytest

from core.facts import CardKind, CardSaved, DraftSaid
from core.house import STREAM
from core.model import FoodClass, Pack
from tests.bot.kitchen.site import CHEF, COOK, LAMB, OTHER, OWNER, House


@pytest.fixture
async def house() -> House:
    made = House()
    await made.open()
    return made


async def test_a_dish_goes_from_its_weights_to_the_saved_card(house: House) -> None:
    said = await house.say(CHEF, *LAMB)
    assert said[-1] == "Save it? Or say what is wrong, like: thickness 3 cm"
    said = await house.say(CHEF, "save")
    assert said[0] == "lamb neck saved, version 1."
    dish = await house.dish("lamb-neck")
    assert dish.batch.amount == 4
    assert dish.piece.weight_kg == pytest.approx(0.22)  # by hand: 880 g / 4
    assert dish.piece.thickness_cm == 5.5
    assert dish.piece.food_class is FoodClass.A1
    lamb, rub = dish.ingredients
    assert (lamb.qty, lamb.unit) == (0.978, "kg")
    assert lamb.trim == pytest.approx(0.1002)  # by hand: 1 - 880/978
    assert lamb.cook_yield == pytest.approx(0.8205)  # by hand: 722/880
    assert (lamb.allergens, lamb.packs) == ((), (Pack(1.0, "kg", 16.9),))
    assert (rub.qty, rub.allergens) == (0.0088, None)
    assert [s.do for s in dish.steps] == ["smoke", "sear", "rest"]
    smoke = dish.steps[0]
    assert (smoke.temp_c, smoke.start_temp_c, smoke.until_core_c) == (110, 5, 47)
    assert [(c.after_min, c.expect_c) for c in smoke.checks] == [(5, 12), (10, 19), (20, 30),
                                                                 (31, 47)]  # fmt: skip
    assert (dish.hold.quality_max_min, dish.hold.min_temp_c) == (60, 63)


async def test_an_undercooked_core_is_told_first_and_by_its_verdict(house: House) -> None:
    said = await house.say(CHEF, *LAMB)
    assert said[0].startswith("NOT YET. Core 54 °C")


async def test_an_answer_may_fill_several_fields(house: House) -> None:
    said = await house.say(CHEF, "new dish neck", "4", "978 g", "880 g", "lamb", "2.5cm 592g")
    assert said[0] == "thickness 2.5 cm, weight after rest 592 g."
    draft = (await house.book()).current("ana", house.clock.now())
    assert draft is not None
    assert (draft.values["thickness"], draft.values["rested"]) == ("2.5 cm", "0.592 kg")


async def test_after_heavier_than_before_is_refused_and_asked_again(house: House) -> None:
    said = await house.say(CHEF, "new dish neck", "4", "760 g", "880 g")
    assert said == [
        "880 g is more than 760 g before it. Which is wrong?",
        "What do they weigh trimmed and raw, all together?",
    ]
    book = await house.book()
    assert "trimmed" not in book.drafts_of("ana")[0].values


@pytest.mark.parametrize(
    ("line", "answer"),
    [
        ("thickness 2 m", "200 cm cannot be: 0.2 cm to 40 cm."),
        ("thickness 2 kg", "'2 kg' is no thickness."),
        ("bought 5 cm", "'5 cm' is no weight as bought."),
        ("fire temperature 3 kg", "'3 kg' is no fire temperature."),
        ("bought 900 kg", "900 kg cannot be: 0.005 kg to 500 kg."),
    ],
)
async def test_units_and_sizes_that_cannot_be_are_refused(
    house: House, line: str, answer: str
) -> None:
    assert (await house.say(CHEF, "new dish neck", "4", line))[0] == answer
    assert set((await house.book()).drafts_of("ana")[0].values) == {"lang", "currency", "name",
                                                                    "pieces"}  # fmt: skip


async def test_a_bare_small_weight_is_asked_never_guessed(house: House) -> None:
    said = await house.say(CHEF, "new dish neck", "4", "1.2")
    assert said[0] == "'1.2' is no weight as bought."


async def test_a_line_of_the_card_is_corrected_by_its_name(house: House) -> None:
    await house.say(CHEF, *LAMB)
    said = await house.say(CHEF, "thickness 3 cm", "save")
    assert said[0] == "lamb neck saved, version 1."
    assert (await house.dish("lamb-neck")).piece.thickness_cm == 3


async def test_saved_again_it_is_the_next_version_and_both_stay_on_record(house: House) -> None:
    await house.say(CHEF, *LAMB, "save", "edit lamb neck", "fire temperature 115")
    assert (await house.say(CHEF, "save"))[0] == "lamb neck saved, version 2."
    saved = [e.fact for e in await house.store.read(STREAM) if isinstance(e.fact, CardSaved)]
    assert [fact.version for fact in saved] == [1, 2]
    assert (await house.dish("lamb-neck")).steps[0].temp_c == 115


async def test_a_card_is_listed_shown_with_its_file_copied_and_retired(house: House) -> None:
    await house.say(CHEF, *LAMB, "save")
    assert (await house.say(CHEF, "dishes"))[0] == "lamb-neck v1"
    await house.say(CHEF, "card lamb neck")
    assert house.messages[-1].documents == ("house/dish/lamb-neck/1/lamb-neck.toml",)
    medium = await house.kitchen.medium(house.messages[-1].documents[0])
    assert medium is not None
    assert b'id = "lamb-neck"' in medium.content
    await house.say(CHEF, "copy lamb neck as lamb chump", "save")
    assert (await house.dish("lamb-chump")).name == "lamb chump"
    await house.say(CHEF, "retire lamb neck")
    assert (await house.say(CHEF, "dishes"))[0] == "lamb-chump v1"
    assert await house.kitchen.medium("house/dish/../1/x.toml") is None


async def test_taps_answer_the_question_they_stand_under(house: House) -> None:
    await house.say(CHEF, "new dish neck")
    said = await house.say(CHEF, "", tap=1)
    assert said[0] == "4 pieces."


async def test_shelved_it_waits_a_week_and_a_restart(house: House) -> None:
    await house.say(CHEF, "new dish neck", "4", "978 g")
    said = await house.say(CHEF, "stop")
    assert said == ["neck is shelved. 'go on' takes it up again."]
    house.later(days=7)
    house.restart()
    await house.accounts.refresh([COOK])
    said = await house.say(CHEF, "go on")
    assert said == ["neck, where we were.", "What do they weigh trimmed and raw, all together?"]
    assert (await house.say(CHEF, "880 g"))[0] == "weight trimmed 880 g."


async def test_left_for_half_a_day_plain_answers_are_the_cooks_again(house: House) -> None:
    await house.say(CHEF, "new dish neck", "4")
    house.later(hours=12, minutes=1)
    await house.say(CHEF, "978 g")
    draft = (await house.book()).drafts_of("ana")[0]
    assert "bought" not in draft.values
    assert (await house.say(CHEF, "go on neck"))[0] == "neck, where we were."


async def test_two_who_capture_at_once_never_mix(house: House) -> None:
    await house.say(CHEF, "new dish neck")
    await house.say(OTHER, "new dish belly")
    await house.say(CHEF, "4")
    await house.say(OTHER, "6")
    await house.say(CHEF, "978 g")
    await house.say(OTHER, "2 kg")
    book = await house.book()
    neck, belly = book.drafts_of("ana")[0], book.drafts_of("bo")[0]
    assert (neck.name, neck.values["pieces"], neck.values["bought"]) == ("neck", "4", "0.978 kg")
    assert (belly.name, belly.values["pieces"], belly.values["bought"]) == ("belly", "6", "2 kg")


async def test_the_owner_captures_before_there_is_a_crew_to_be_on(house: House) -> None:
    said = await house.say(OWNER, "new dish neck", "4")
    assert said[-1] == "What do they weigh as bought, all together? Like 978 g"


async def test_crew_who_lead_nothing_and_strangers_make_no_cards(house: House) -> None:
    said = await house.say("99", "new dish neck")
    assert "not on this crew" in said[0]
    assert (await house.book()).drafts == {}


@pytest.mark.parametrize(
    "line",
    [
        "SOS",
        "smoke alarm in tent",
        "guest with a nut allergy choking",
        "Carmen is sick",
        "status",
        "/heads 70",
        "how much salt 5 kg?",
        "/add Sam, runner",
        "join ABCD2345",
        "forget me",
    ],
)
async def test_alarms_commands_and_questions_are_never_an_answer(house: House, line: str) -> None:
    await house.say(CHEF, "new dish neck", "4")
    before = len(await house.store.read(STREAM))
    await house.say(CHEF, line)
    drafted = [e for e in await house.store.read(STREAM) if isinstance(e.fact, DraftSaid)]
    assert len(drafted) == 1
    assert len(await house.store.read(STREAM)) == before


async def test_a_report_of_the_running_day_stays_the_cooks(house: House) -> None:
    house.later(days=30)
    await house.say(CHEF, "new dish neck", "4", "smoker lit 09:00")
    cook = await house.dispatcher.cook(COOK)
    assert cook.jobs["light/smoker"].started is not None


async def test_in_the_crews_room_a_card_is_said_to_be_made_alone(house: House) -> None:
    await house.say(CHEF, "use this room", room="-100")
    said = await house.say(CHEF, "new dish neck", room="-100")
    assert said == ["Cards are made alone with me, by the chef or a lead."]


async def test_an_answer_its_facts_and_the_inbox_are_one_commit(house: House) -> None:
    await house.say(CHEF, "new dish neck")
    before = len(await house.store.read(STREAM))
    await house.say(CHEF, "4")
    assert len(await house.store.read(STREAM)) == before + 1
    assert await house.store.unhandled() == []
    assert await house.store.verify(STREAM) is None


async def test_nobodys_name_is_in_the_houses_facts(house: House) -> None:
    await house.say(CHEF, *LAMB, "save")
    text = " ".join(str(e.fact) for e in await house.store.read(STREAM))
    assert "Ana" not in text


async def test_hostile_names_become_plain_cards(house: House) -> None:
    name = 'x" ] \n[[step]]\ndo="burn'
    await house.say(CHEF, "new dish pie", f"name {name}", *LAMB[1:], "save")
    cards = (await house.book()).offered(CardKind.DISH)
    assert len(cards) == 1
    dish = await house.dish(cards[0].card)
    assert [s.do for s in dish.steps] == ["smoke", "sear", "rest"]
