"""Cards and recipes sent as files: checked, limited, and never believed."""

from __future__ import annotations

import json

import pytest

from bot.cards import check_text
from bot.examples import GOLDEN_WEDDING
from core.facts import CardKind
from core.house import STREAM
from tests.bot.kitchen.site import CHEF, House

LAMB = (GOLDEN_WEDDING / "dishes" / "lamb-rump.toml").read_bytes()
BAD = b'id = "pie"\nbatch = "4 pieces"\ncolour = "blue"\n[piece]\nthickness = "2 m"\n'

RECIPE = {
    "@context": "https://schema.org",
    "@type": "Recipe",
    "name": "Smoked shoulder",
    "recipeYield": "8 servings",
    "cookTime": "PT1H",
    "recipeIngredient": ["2 kg pork shoulder", "20 g salt", "a pinch of chilli"],
}


def page(data: object, more: str = "") -> bytes:
    script = f'<script type="application/ld+json">{json.dumps(data)}</script>'
    return f"<!doctype html><html><head>{more}{script}</head><body>x</body></html>".encode()


@pytest.fixture
async def house() -> House:
    made = House()
    await made.open()
    return made


async def test_a_dish_card_sent_as_a_file_is_kept_as_it_was_written(house: House) -> None:
    assert await house.send(CHEF, "lamb-rump.toml", LAMB) == ["Lamb rump saved, version 1."]
    saved = (await house.book()).card(CardKind.DISH, "lamb-rump")
    assert saved is not None
    assert saved.texts["lamb-rump.toml"].encode() == LAMB


async def test_its_mistakes_are_those_of_the_check_command(house: House) -> None:
    said = await house.send(CHEF, "pie.toml", BAD)
    errors = [str(error) for error in check_text("pie.toml", BAD.decode())]
    assert said[:3] == errors[:3]
    assert said[3] == f"And {len(errors) - 3} more."
    assert (await house.book()).cards == {}


@pytest.mark.parametrize(
    ("name", "content", "size"),
    [
        ("big.toml", b"", 5_000_000),
        ("big.html", b"", 5_000_000),
    ],
)
async def test_five_megabytes_are_refused_unfetched(
    house: House, name: str, content: bytes, size: int
) -> None:
    said = await house.send(CHEF, name, content, size)
    assert said[0].startswith(f"{name} has 5 MB: more than ")
    assert house.chat.fetched == []


async def test_a_file_that_is_larger_than_it_says_is_refused(house: House) -> None:
    said = await house.send(CHEF, "big.toml", b"#" * 1_100_000, 10)
    assert said[0].startswith("big.toml has 1.1 MB: more than ")


async def test_a_file_that_cannot_be_had_is_asked_for_again(house: House) -> None:
    await house.send(CHEF, "x.toml", LAMB)
    house.chat.files.clear()
    house.chat.fetch = _gone  # type: ignore[method-assign]
    assert await house.send(CHEF, "y.toml", LAMB) == ["I could not get y.toml. Send it again."]


async def _gone(ref: str) -> bytes:
    from bot.ports import FetchError

    raise FetchError(ref)


async def test_a_recipe_becomes_a_draft_that_says_what_it_does_not_know(house: House) -> None:
    said = await house.send(CHEF, "page.html", page(RECIPE))
    text = "\n".join(said)
    assert said[0] == "Smoked shoulder: a recipe, nothing in it measured by us."
    assert "pork shoulder ← 2 kg pork shoulder" in text  # what was read stands beside the line
    assert "Taken as the main thing: pork shoulder." in text
    assert "Not read, left out: 'a pinch of chilli'" in text
    assert "It says 60 min of cooking, without pit or core: not taken." in text
    assert said[-1] == "How many pieces are in the test?"
    draft = (await house.book()).drafts_of("ana")[0]
    assert (draft.values["bought"], draft.values["goods"]) == ("2 kg", "salt=0.02 kg")
    assert not {"pit", "cores", "rested", "allergens"} & set(draft.values)


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.html", b""),
        ("lie.html", b"\x89PNG\r\n\x1a\n\x00\x00"),
        ("none.html", b"<html><body>Best recipe ever! 2 kg pork</body></html>"),
        ("torn.html", b'<script type="application/ld+json">{"@type": "Recipe", </script>'),
        ("deep.json", b"[" * 200_000 + b"]" * 200_000),
        ("nameless.json", b'{"@type": "Recipe", "recipeIngredient": ["1 kg x"]}'),
        ("list.json", b"[1, 2, 3]"),
        ("latin.json", '{"@type": "Recipe", "name": "é"}'.encode("latin-1")),
    ],
)
async def test_what_is_no_recipe_is_refused_in_one_line(
    house: House, name: str, content: bytes
) -> None:
    said = await house.send(CHEF, name, content)
    assert len(said) == 1
    assert said[0].startswith(f"No recipe in {name}: ")
    assert await house.store.read(STREAM) == []


async def test_a_page_that_lies_about_itself_adds_no_markup_and_no_key(house: House) -> None:
    lying = {**RECIPE, "name": 'Pie<script>x</script>\n"] [[step]]', "cookTime": "P99Y",
             "recipeIngredient": ['2 kg be=ef;x=1 "kg']}  # fmt: skip
    said = await house.send(CHEF, "page.json", json.dumps(lying).encode())
    assert "<" not in "\n".join(said)
    draft = (await house.book()).drafts_of("ana")[0]
    assert "\n" not in draft.name


async def test_a_stranger_s_file_is_never_fetched(house: House) -> None:
    await house.send("99", "lamb-rump.toml", LAMB)
    assert house.chat.fetched == []
    assert (await house.book()).cards == {}
