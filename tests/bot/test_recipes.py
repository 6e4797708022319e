"""Recipes as schema.org writes them, and durations as ISO 8601 does."""

from __future__ import annotations

import json

import pytest

from bot.recipes import RecipeError, good_in, heaviest, minutes_of, recipe_in
from tests.published import published

BANANA_BREAD = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "author": "John Smith",
    "cookTime": "PT1H",
    "datePublished": "2009-05-08",
    "description": "This classic banana bread recipe comes from my mom.",
    "image": "bananabread.jpg",
    "recipeIngredient": [
        "3 or 4 ripe bananas, smashed",
        "1 egg",
        "3/4 cup of sugar",
    ],
    "interactionStatistic": {
        "@type": "InteractionCounter",
        "interactionType": "https://schema.org/Comment",
        "userInteractionCount": "140",
    },
    "name": "Mom's World Famous Banana Bread",
    "nutrition": {"@type": "NutritionInformation", "calories": "240 calories"},
    "prepTime": "PT15M",
    "recipeInstructions": "Preheat the oven to 350 degrees. Mix in the ingredients in a bowl.",
    "recipeYield": "1 loaf",
    "suitableForDiet": "https://schema.org/LowFatDiet",
}


@published("schema.org, type Recipe, first example; read in public copies, its JSON from memory")
def test_the_example_of_the_vocabulary_is_read() -> None:
    made = recipe_in("x.json", json.dumps(BANANA_BREAD).encode())
    assert made.name == "Mom's World Famous Banana Bread"
    assert (made.cook_min, made.yields) == (60, "1 loaf")
    assert made.unread == ("3 or 4 ripe bananas, smashed",)  # '3 or 4' is no amount: never guessed
    assert [(g.name, g.unit) for g in made.goods] == [("egg", "pieces"), ("sugar", "L")]


@pytest.mark.parametrize(
    "wrapped",
    [
        {"@context": "https://schema.org", "@graph": [{"@type": "WebPage"}, BANANA_BREAD]},
        [{"@type": "Organization", "name": "x"}, BANANA_BREAD],
        {"@type": "WebPage", "mainEntity": BANANA_BREAD},
        {**BANANA_BREAD, "@type": ["Thing", "Recipe"]},
        {**BANANA_BREAD, "@type": "https://schema.org/Recipe"},
        {**BANANA_BREAD, "@type": "schema:Recipe"},
    ],
    ids=["graph", "list", "main entity", "two types", "whole address", "prefix"],
)
@published("JSON-LD 1.1 (W3C), sections 3.1, 4.7 and 4.9: types, graphs, top-level arrays")
def test_every_form_of_a_graph_leads_to_the_recipe(wrapped: object) -> None:
    assert recipe_in("x.json", json.dumps(wrapped).encode()).yields == "1 loaf"


@published("ISO 8601-1:2019, 5.5.2: durations by designators, as in PT1H30M, P1DT12H, P2W, PT0.5H")
@pytest.mark.parametrize(
    ("text", "minutes"),
    [("PT1H30M", 90), ("P1DT12H", 2160), ("PT0.5H", 30), ("PT90M", 90), ("PT45S", 0.75),
     ("P1D", 1440)],
)  # fmt: skip
def test_iso_8601_durations(text: str, minutes: float) -> None:
    assert minutes_of(text) == pytest.approx(minutes)


@pytest.mark.parametrize(
    "text", ["", "1h", "PT", "P99Y", "P3M", "PT-5M", "PT1H " * 20, None, 60, "P9999999999999D"]
)
def test_what_is_no_duration_is_none(text: object) -> None:
    assert minutes_of(text) is None


@pytest.mark.parametrize(
    ("line", "read"),
    [
        ("500 g lamb shoulder, diced", ("lamb shoulder", 0.5, "kg")),
        ("1,5 kg de cebolla", ("cebolla", 1.5, "kg")),
        ("2 lb brisket", ("brisket", 0.907185, "kg")),  # NIST Handbook 44: 1 lb = 0.453 592 37 kg
        ("250 ml milk", ("milk", 0.25, "L")),
        ("4 eggs", ("eggs", 4.0, "pieces")),
    ],
)
def test_ingredient_lines_are_read(line: str, read: tuple[str, float, str]) -> None:
    good = good_in(line)
    assert good is not None
    assert (good.name, good.qty, good.unit) == read


@pytest.mark.parametrize(
    "line",
    ["salt", "salt to taste", "1-2 kg beef", "1 bunch parsley", "2 x 400 g cans beans",
     "0 g nothing", "3 or 4 bananas", "", "½", "1e9 kg beef"],
)  # fmt: skip
def test_a_line_that_would_be_a_guess_is_not_read(line: str) -> None:
    assert good_in(line) is None


def test_the_heaviest_good_is_the_guess_at_the_main_one() -> None:
    goods = [good for line in ("20 g salt", "2 kg pork", "9 eggs") if (good := good_in(line))]
    found = heaviest(goods)
    assert found is not None
    assert found.name == "pork"


def test_only_scripts_of_json_ld_are_read() -> None:
    page = b'<script>{"@type":"Recipe","name":"x","recipeIngredient":["1 kg y"]}</script>'
    with pytest.raises(RecipeError, match="no JSON-LD"):
        recipe_in("x.html", page)


def test_a_page_of_a_million_tags_ends_soon() -> None:
    with pytest.raises(RecipeError):
        recipe_in("x.html", b"<p>" * 600_000)
