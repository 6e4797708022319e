"""Allergens: YES from any ingredient, NO only when every label is confirmed, never a guess."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.allergens import (
    NOTHING_MADE,
    Made,
    Swap,
    allergen_answer,
    allergen_sheet,
    asked_tokens,
    contains,
    dishes_using,
    legal_list,
    swap_answer,
)
from core.allergens.answers import made_near
from core.allergens.words import NAMES, implied, is_within, same_thing
from core.model import (
    Batch,
    Cards,
    Dish,
    Event,
    Ingredient,
    Kit,
    Lead,
    MenuItem,
    Person,
    Profile,
    Step,
    Verdict,
)
from tests.published import published

NOON = datetime(2026, 6, 13, 12, tzinfo=UTC)


def good(name: str, *allergens: str, **more: object) -> Ingredient:
    """Return an ingredient whose label has been read."""
    return Ingredient(name, allergens=allergens, label_confirmed=True, **more)  # type: ignore[arg-type]


def dish(dish_id: str, *ingredients: Ingredient, station: str = "bench") -> Dish:
    return Dish(
        dish_id, dish_id.capitalize(), Batch(1, "kg"), ingredients=ingredients,
        steps=(Step("mix", "mix", station),),
    )  # fmt: skip


DRESSING = dish("dressing", good("mayonnaise", "egg", "mustard"), good("vinegar"))
SLAW = dish("slaw", good("cabbage"), Ingredient("dressing", card="dressing"))
STEAK = dish("steak", good("beef"), good("salt"), station="grill")
CELERIAC = dish("celeriac", good("celeriac", "celery"), good("butter", "milk"), station="grill")
CRUMB = dish("crumb", good("hazelnuts", "nuts"), good("wheat crumb", "wheat"))
MYSTERY = dish("mystery", Ingredient("bought sauce"))


def cards(*dishes: Dish) -> Cards:
    every = dishes or (SLAW, DRESSING, STEAK, CELERIAC, CRUMB, MYSTERY)
    event = Event("e", "E", date(2026, 6, 13), "UTC", 10,
                  tuple(MenuItem(d.id) for d in every), ())  # fmt: skip
    return Cards(event, Kit(()), (Person("ana", "Ana", leads=(Lead.ALLERGY,)),), every)


ALL = cards()


def of(dish_id: str, token: str, made: Made = NOTHING_MADE, of_cards: Cards = ALL) -> Verdict:
    return contains(of_cards, of_cards.dish(dish_id), token, made).verdict


def test_an_allergen_of_a_card_inside_a_card_is_found() -> None:
    assert of("slaw", "egg") is Verdict.YES
    assert of("slaw", "mustard") is Verdict.YES


def test_no_is_said_when_every_label_is_confirmed() -> None:
    assert of("steak", "milk") is Verdict.NO
    assert of("slaw", "milk") is Verdict.NO


@pytest.mark.parametrize(
    "bad",
    [
        Ingredient("sauce"),
        Ingredient("sauce", allergens=None, label_confirmed=True),
        Ingredient("sauce", allergens=(), label_confirmed=False),
        Ingredient("sauce", card="no such card"),
    ],
)
def test_one_unread_label_is_enough_for_not_confirmed(bad: Ingredient) -> None:
    some = cards(dish("plate", good("beef"), bad))
    for token in NAMES:
        assert of("plate", token, of_cards=some) is Verdict.NOT_CONFIRMED


def test_may_contain_is_not_a_no() -> None:
    some = cards(dish("plate", good("rub", may_contain=("mustard",))))
    assert of("plate", "mustard", of_cards=some) is Verdict.NOT_CONFIRMED
    assert of("plate", "milk", of_cards=some) is Verdict.NO


def test_a_dish_without_ingredients_is_not_confirmed() -> None:
    assert of("plate", "milk", of_cards=cards(dish("plate"))) is Verdict.NOT_CONFIRMED


def test_celeriac_is_celery_whatever_its_label_says() -> None:
    some = cards(dish("plate", good("celeriac")))
    assert of("plate", "celery", of_cards=some) is Verdict.YES


def test_a_name_that_speaks_against_a_confirmed_label_is_not_confirmed() -> None:
    some = cards(dish("plate", good("mayonnaise")))
    assert of("plate", "egg", of_cards=some) is Verdict.NOT_CONFIRMED


def test_brine_that_is_poured_away_counts_too() -> None:
    some = cards(dish("plate", good("beef"), good("soy brine", "soy", eaten=False)))
    assert of("plate", "soy", of_cards=some) is Verdict.YES


def test_kinds_of_an_allergen_belong_to_it() -> None:
    some = cards(dish("plate", good("brittle", "hazelnuts")), dish("bowl", good("mix", "nuts")))
    assert of("plate", "nuts", of_cards=some) is Verdict.YES
    assert of("plate", "almond", of_cards=some) is Verdict.NO
    assert of("bowl", "almond", of_cards=some) is Verdict.NOT_CONFIRMED  # nuts: which?
    assert is_within("spelt", "gluten")
    assert not is_within("gluten", "spelt")


def test_cards_that_name_each_other_end() -> None:
    one = dish("one", Ingredient("two", card="two"))
    two = dish("two", Ingredient("one", card="one"))
    assert of("one", "milk", of_cards=cards(one, two)) is Verdict.NOT_CONFIRMED


# ------------------------------------------------------------------ swaps


def test_another_brand_flips_every_dish_that_uses_it_until_its_label_is_confirmed() -> None:
    swapped = Made({}, (Swap("mayo", NOON),))
    assert [d.id for d in dishes_using(ALL, "mayo")] == ["slaw", "dressing"]
    assert of("slaw", "milk", swapped) is Verdict.NOT_CONFIRMED
    assert of("steak", "milk", swapped) is Verdict.NO
    confirmed = Made({}, (Swap("mayo", NOON, ("egg",), confirmed=True),))
    assert of("slaw", "milk", confirmed) is Verdict.NO
    assert of("slaw", "egg", confirmed) is Verdict.YES
    assert of("slaw", "mustard", confirmed) is Verdict.NO  # the new brand has none


def test_a_batch_made_before_the_swap_keeps_its_own_label() -> None:
    before = Made({"dressing": (1, NOON - timedelta(hours=1))}, (Swap("mayo", NOON),))
    after = Made({"dressing": (2, NOON + timedelta(hours=1))}, (Swap("mayo", NOON),))
    assert of("dressing", "milk", before) is Verdict.NO
    assert of("dressing", "milk", after) is Verdict.NOT_CONFIRMED


def test_a_swap_nobody_timed_counts_for_everything() -> None:
    made = Made({"dressing": (1, NOON)}, (Swap("mayo", None),))
    assert of("dressing", "milk", made) is Verdict.NOT_CONFIRMED


def test_the_answer_to_a_swap_is_not_confirmed_and_asks_for_a_photo() -> None:
    answer = swap_answer(ALL, NOTHING_MADE, Swap("mayo", NOON))
    assert answer.verdict is Verdict.NOT_CONFIRMED
    assert [c.text for c in answer.choices] == ["photo"]


@pytest.mark.parametrize(
    ("said", "name", "same"),
    [("mayo", "mayonnaise", True), ("mayonesa", "garlic mayo", True), ("mustard", "mustard", True),
     ("oil", "boil-in bag rice", False), ("stock", "stock cube", True), ("nata", "tomato", False)],
)  # fmt: skip
def test_one_thing_under_two_names(said: str, name: str, same: bool) -> None:
    assert same_thing(said, name) is same


# ------------------------------------------------------------------ answers


def test_egg_or_mustard_in_slaw_answers_each_by_ingredient() -> None:
    made = Made({"slaw": (2, NOON)})
    answer = allergen_answer(ALL, made, ("egg", "mustard"), Profile.US, "slaw")
    assert answer.verdict is Verdict.YES
    assert answer.lines[0].text.startswith("{verdict}")
    assert any("call" in line.text for line in answer.lines)


def test_the_whole_menu_names_who_has_it_and_who_is_safe() -> None:
    answer = allergen_answer(ALL, NOTHING_MADE, ("celery",))
    assert answer.verdict is Verdict.YES
    said = " ".join(str(v) for line in answer.lines for v in line.fields.values())
    assert "Celeriac" in said
    assert "Steak" in said
    assert "Mystery" in said


def test_one_open_dish_keeps_the_menu_from_a_no() -> None:
    assert allergen_answer(ALL, NOTHING_MADE, ("lupin",)).verdict is Verdict.NOT_CONFIRMED
    sure = cards(SLAW, DRESSING, STEAK)
    assert allergen_answer(sure, NOTHING_MADE, ("lupin",)).verdict is Verdict.NO


def test_what_was_made_on_the_same_bench_is_told() -> None:
    near = dict(made_near(ALL, ALL.dish("slaw")))
    assert near["nuts"] == "bench"
    assert "celery" not in near  # made at the grill


def test_off_the_legal_list_is_told_all_the_same() -> None:
    answer = allergen_answer(ALL, NOTHING_MADE, ("mustard",), Profile.US, "slaw")
    assert answer.verdict is Verdict.YES


# ------------------------------------------------------------------ words


@pytest.mark.parametrize(
    ("text", "tokens"),
    [
        ("guest asks egg or mustard in slaw", ("egg", "mustard")),
        ("celery?", ("celery",)),
        ("apionabo", ("celery",)),
        ("lleva marisco?", ("crustaceans", "molluscs")),
        ("nut free?", ("nuts", "peanut")),
        ("frutos secos", ("nuts",)),
        ("any sulphites", ("sulphites",)),
        ("sesmae", ()),
        ("mustrad", ()),
        ("colery", ()),
    ],
)
def test_allergen_words_are_read_exactly_or_not_at_all(text: str, tokens: tuple[str, ...]) -> None:
    assert asked_tokens(text) == tokens


@pytest.mark.parametrize("name", ["coconut milk", "butter beans", "eggplant", "nuez moscada",
                                  "butternut squash", "buckwheat"])  # fmt: skip
def test_names_that_only_sound_like_it_imply_nothing(name: str) -> None:
    assert implied(name) == (frozenset(), frozenset())


@published("Reg. (EU) 1169/2011 Annex II; FD&C Act 201(qq) with the FASTER Act")
def test_the_lists_of_the_law() -> None:
    fourteen, nine = set(legal_list(Profile.UK)), set(legal_list(Profile.US))
    assert (len(fourteen), len(nine)) == (14, 9)
    assert legal_list(Profile.ES) == legal_list(Profile.SCOTLAND) == legal_list(Profile.UK)
    assert {"celery", "mustard", "lupin", "molluscs", "sulphites", "gluten"} <= fourteen - nine
    assert "wheat" in nine
    assert "mustard" in legal_list(Profile.CA)
    assert fourteen | nine <= set(NAMES)


def test_the_sheet_by_the_us_list_still_tells_of_mustard_and_celery() -> None:
    rows = {row.dish.id: row for row in allergen_sheet(ALL, Profile.US)}
    assert rows["slaw"].also == ("mustard",)
    assert rows["celeriac"].also == ("celery",)
    assert set(rows["slaw"].listed) == set(legal_list(Profile.US))


# ------------------------------------------------------------------ the law of NO

ingredients = st.builds(
    Ingredient,
    name=st.sampled_from(["beef", "flour", "mayo", "celery salt", "sauce", "oil", "tahini"]),
    allergens=st.one_of(
        st.none(), st.lists(st.sampled_from(["milk", "eggs", "nuts", "hazelnuts", "wheat"]),
                            max_size=2).map(tuple)
    ),
    may_contain=st.lists(st.sampled_from(["milk", "nuts"]), max_size=1).map(tuple),
    label_confirmed=st.booleans(),
)  # fmt: skip


@settings(max_examples=200, deadline=None)
@given(st.lists(ingredients, min_size=1, max_size=4), ingredients, st.sampled_from(list(NAMES)))
def test_one_more_ingredient_never_turns_anything_into_a_no(
    some: list[Ingredient], more: Ingredient, token: str
) -> None:
    def verdict(all_of: list[Ingredient]) -> Verdict:
        return of("plate", token, of_cards=cards(dish("plate", *all_of)))

    if verdict([*some, more]) is Verdict.NO:
        assert verdict(some) is Verdict.NO
    unread = [replace(each, label_confirmed=False) for each in some]
    assert verdict(unread) is not Verdict.NO
