"""Sloppy answers, the way a wet thumb types them, in both languages."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from core.facts import CardKind
from core.trial.asking import fields_of, missing, next_field
from core.trial.dish_fields import DISH_FIELDS
from core.trial.event_fields import EVENT_FIELDS
from core.trial.fields import Kind
from core.trial.reading import Filled, NotMine, Refused, Sheet, read_answer
from core.trial.sense import senseless
from core.trial.series import pairs_in, series_of, series_text

FIELDS = {field.name: field for field in DISH_FIELDS}


def read(text: str, asked: str | None = None, **values: str) -> object:
    return read_answer(text, Sheet(DISH_FIELDS, values, FIELDS[asked] if asked else None))


@pytest.mark.parametrize(
    ("asked", "text", "kept"),
    [
        ("thickness", "2,5", {"thickness": "2.5 cm"}),
        ("thickness", "25mm", {"thickness": "2.5 cm"}),
        ("thickness", '1"', {"thickness": "2.54 cm"}),
        ("bought", "1,2 kg", {"bought": "1.2 kg"}),
        ("bought", "1.234 kg", {"bought": "1.234 kg"}),
        ("bought", "978", {"bought": "0.978 kg"}),
        ("bought", "978g 880g", {"bought": "0.978 kg", "trimmed": "0.88 kg"}),
        ("pit", "225", {"pit": "225 C"}),
        ("pit", "230F", {"pit": "110 C"}),
        ("start", "41F", {"start": "5 C"}),
        ("brine_time", "3 h", {"brine_time": "180 min"}),
        ("fire", "ahumador", {"fire": "smoker"}),
        ("class", "pollo", {"class": "A3"}),
        ("sear", "300 °C 4 min", {"sear": "4:300"}),
        ("peak", "6 min 54", {"peak": "54:6"}),
        ("price", "7,20€/kg", {"price": "7.2"}),
        ("price", "£7.20", {"price": "7.2"}),
        ("portion", "2 piezas", {"portion": "2 pieces"}),
        ("portion", "150g en el plato", {"portion": "0.15 kg cooked"}),
        ("allergens", "mostaza", {"allergens": "mustard"}),
        (None, "grosor 3 cm", {"thickness": "3 cm"}),
        (None, "after rest: 592g", {"rested": "0.592 kg"}),
        (None, "tras reposo 592 g", {"rested": "0.592 kg"}),
        (None, "592g after rest, 2.5cm thick", {"rested": "0.592 kg", "thickness": "2.5 cm"}),
        ("start", "no brine", {"brined": "none"}),
    ],
)
def test_an_answer_fills_what_it_is_about(
    asked: str | None, text: str, kept: dict[str, str]
) -> None:
    found = read(text, asked)
    assert isinstance(found, Filled)
    assert dict(found.values) == kept


@pytest.mark.parametrize(
    ("asked", "text"),
    [
        ("bought", "1.2"),
        ("bought", "192.308 g"),
        ("thickness", "10-15 cm 3 kg"),
        ("start", "3 cm extra 4 cm"),
        ("fire", "110"),
        ("portion", "150 g"),
        ("allergens", "mostasa"),
        ("allergens", "milk and something"),
        ("goods", "8 g salt and pepper"),
        (None, "592"),
        ("pieces", "skip"),
    ],
)
def test_what_could_be_two_things_is_asked_not_guessed(asked: str | None, text: str) -> None:
    assert isinstance(read(text, asked), Refused)


@pytest.mark.parametrize("text", ["hello there", "", "   ", "🙂", "the client is here"])
def test_what_says_nothing_about_the_card_is_left_alone(text: str) -> None:
    assert isinstance(read(text, "thickness"), NotMine)


def test_a_brine_takes_nothing_away_so_a_light_weight_is_a_later_one() -> None:
    found = read("592 g", "thickness", bought="0.8 kg", trimmed="0.76 kg")
    assert isinstance(found, Filled)
    assert dict(found.values) == {"rested": "0.592 kg"}


def test_fahrenheit_that_was_read_as_such_is_shown() -> None:
    found = read("165", "start")
    assert isinstance(found, Filled)
    assert found.doubts


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"trimmed": "0.76 kg", "rested": "0.8 kg"}, "rested"),
        ({"bought": "0.7 kg", "trimmed": "0.76 kg"}, "trimmed"),
        ({"trimmed": "0.76 kg", "brined": "1.2 kg"}, "brined"),
        ({"trimmed": "0.76 kg", "rested": "0.1 kg"}, "rested"),
        ({"thickness": "200 cm"}, "thickness"),
        ({"start": "5 C", "cores": "10:30 20:20 off"}, "cores"),
        ({"pit": "110 C", "cores": "10:120 off"}, "cores"),
        ({"cores": "31:47 off", "peak": "30:6"}, "peak"),
        ({"pieces": "0"}, "pieces"),
    ],
)
def test_what_cannot_be_is_named(values: dict[str, str], field: str) -> None:
    found = senseless(values)
    assert found is not None
    assert found[0] == field


def test_dry_beans_take_up_water_and_brined_meat_a_little() -> None:
    assert senseless({"class": "PLANT", "trimmed": "1 kg", "rested": "2.2 kg"}) is None
    assert senseless({"trimmed": "1 kg", "brined": "1.08 kg", "rested": "0.8 kg"}) is None


@pytest.mark.parametrize("kind", list(CardKind))
def test_every_field_is_asked_once_and_then_the_card_is_whole(kind: CardKind) -> None:
    values: dict[str, str] = {}
    asked: list[str] = []
    while (each := next_field(kind, values)) is not None:
        asked.append(each.name)
        values[each.name] = "1:1 off" if each.kind is Kind.SERIES else "none"
        assert len(asked) < 40
    assert len(asked) == len(set(asked))
    assert {f.name for f in fields_of(kind)} - set(asked) <= {"brine_time"}
    assert missing(kind, values) == ()


def test_every_word_a_field_is_called_by_is_its_own() -> None:
    for fields in (DISH_FIELDS, EVENT_FIELDS):
        words = [word for field in fields for word in field.words]
        assert len(words) == len(set(words))


@given(st.text(max_size=200))
def test_whatever_is_typed_is_answered(text: str) -> None:
    for asked in DISH_FIELDS:
        assert isinstance(
            read_answer(text, Sheet(DISH_FIELDS, {}, asked)), Filled | Refused | NotMine
        )


@given(st.lists(st.tuples(st.integers(0, 2000), st.integers(-20, 100)), min_size=1, max_size=30))
def test_a_series_is_kept_as_it_was_said(pairs: list[tuple[int, int]]) -> None:
    said = ", ".join(f"{m} {c}" for m, c in pairs)
    found = pairs_in(said)
    assert found == tuple((float(m), float(c)) for m, c in pairs)
    assert series_of(series_text(found, off=True)) == (found, True)
