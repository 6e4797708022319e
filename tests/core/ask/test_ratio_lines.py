"""Every ratio and quantity question of the trade list, English and Spanish, right to 1 %."""

from __future__ import annotations

import pytest

from core.ask import AskContext, ask
from core.model import Answer

NOTHING = AskContext()


def numbers(answer: Answer) -> dict[str, float]:
    return {n.name: float(n.value) for n in answer.numbers}


def assert_says(text: str, lang: str, **wanted: float) -> Answer:
    """Check that the answer carries these numbers, right to 1 %."""
    answer = ask(text, AskContext(lang=lang))
    found = numbers(answer)
    for name, value in wanted.items():
        assert found[name] == pytest.approx(value, rel=0.01), (text, name, found)
    assert answer.read_as is not None
    return answer


# The expected numbers are the trade list's own worked answers; common practice unless by hand.


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("5to1 conc 18L tub how much", "en"),
        ("5:1 conc 18 l tub", "en"),
        ("1:5 conc 18L", "en"),
        ("5 a 1 concentrado cubo de 18 litros", "es"),
        ("uno por cinco 18 litros", "es"),
        ("salmuera 5:1 cubo 18 L cuanto", "es"),
    ],
)
def test_five_to_one_is_six_parts(text: str, lang: str) -> None:
    assert_says(text, lang, water=15, concentrate=3)  # by hand: 18 L / 6


def test_the_tub_with_meat_in_it_takes_less() -> None:
    answer = assert_says(
        "5to1 conc 18L tub how much", "en", water_with_meat=6.7, concentrate_with_meat=1.33
    )
    assert [c.text for c in answer.choices] == ["empty tub", "with meat"]


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("salmuera 6% 25 kg pollo", "es"),
        ("6% brine 25kg chicken", "en"),
        ("brine 6 % for 25 kg chiken", "en"),
        ("salmeura al 6 % 25 kg de pollo", "es"),
    ],
)
def test_a_six_percent_brine_is_sixty_grams_a_litre(text: str, lang: str) -> None:
    assert_says(text, lang, water=25, salt=1.5)  # by hand: 25 L x 60 g


@pytest.mark.parametrize(
    ("text", "lang"),
    [("rub 14kg ribs", "en"), ("adobo seco 14 kg costillas", "es"), ("RUB 14 KG RIBS!!", "en")],
)
def test_rub_is_twenty_grams_a_kilogram(text: str, lang: str) -> None:
    assert_says(text, lang, rub=280, salt=84)


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("how much dressing per head of cabage", "en"),
        ("dressing per head cabbage", "en"),
        ("cuanto aliño por cabeza de col", "es"),
    ],
)
def test_a_head_of_cabbage_takes_380_grams(text: str, lang: str) -> None:
    assert_says(text, lang, creamy=380, vinaigrette=210)


@pytest.mark.parametrize(
    ("text", "lang"), [("dressing for 14 heads cabbage", "en"), ("aliño para 14 coles", "es")]
)
def test_fourteen_heads_take_5_3_kilograms(text: str, lang: str) -> None:
    assert_says(text, lang, creamy=5.3)


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("320 ppl 180g steak how many 12kg cases trim 8", "en"),
        ("180g steak for 320 ppl, 12 kg cases, trim 8%", "en"),
        ("320 pax filete 180 g cuantas cajas de 12 kg merma 8", "es"),
        ("320 comensales 180 g filete cajas 12 kg merma 8 %", "es"),
    ],
)
def test_six_cases_are_368_steaks(text: str, lang: str) -> None:
    assert_says(  # by hand: 57.6 / 0.92 / 12, then 72 x 0.92 / 0.18
        text, lang, cases=6, need_trimmed=57.6, need_bought=62.6, portions=368, spare=48
    )


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("2 grates 45x60 stks 20x12 how many loads for 64", "en"),
        ("64 steaks 20x12 on 2 grates 45 x 60", "en"),
        ("2 parrillas 45x60 filetes 20x12 cuantas tandas para 64", "es"),
    ],
)
def test_rectangles_are_packed_not_areas_divided(text: str, lang: str) -> None:
    assert_says(text, lang, per_grate=8, per_load=16, loads=4, time=36)  # by hand: 4 x 2


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("sani bucket 10L bleach 5%", "en"),
        ("10 litres sanitiser 5 % bleach", "en"),
        ("cubo desinfectante 10 L lejia 5 %", "es"),
    ],
)
def test_ten_litres_take_twenty_millilitres_of_bleach(text: str, lang: str) -> None:
    assert_says(text, lang, bleach=20, chlorine=100)  # by hand: 10 L x 100 mg / 50 mg per mL


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("carbon para 3h parrilla 1,2x0,6", "es"),
        ("charcoal for 3h grill 1.2x0.6", "en"),
        ("charcoal 3 hours grill 120x60 cm", "en"),
    ],
)
def test_three_hours_of_charcoal_are_14_kilograms(text: str, lang: str) -> None:
    answer = assert_says(text, lang, charcoal=14)
    windy = next(n for n in answer.numbers if n.name == "in_wind")
    assert (windy.low, windy.high) == (18, 20)


@pytest.mark.parametrize(
    ("text", "lang"), [("3 cups rub in g", "en"), ("3 tazas de adobo en g", "es")]
)
def test_three_cups_of_rub_are_390_grams_give_or_take(text: str, lang: str) -> None:
    answer = assert_says(text, lang, weight=390)
    found = answer.numbers[0]
    assert found.low == pytest.approx(332, abs=1)  # by hand: 15 % less
    assert found.high == pytest.approx(448, abs=1)  # by hand: 15 % more


@pytest.mark.parametrize(
    ("text", "lang"), [("arroz 150 pax guarnicion", "es"), ("rice for 150 people side", "en")]
)
def test_rice_for_150_is_nine_kilograms_dry(text: str, lang: str) -> None:
    assert_says(text, lang, dry=9, water=13.5, cooked=23, pans=4)


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("40kg cabeza con hueso cuantos bocatas 110g", "es"),
        ("40 kg pork shoulder bone in how many 110g rolls", "en"),
    ],
)
def test_forty_kilograms_bone_in_are_165_to_180_rolls(text: str, lang: str) -> None:
    answer = assert_says(text, lang, portions=165)
    assert (answer.numbers[0].low, answer.numbers[0].high) == (165, 180)


@pytest.mark.parametrize(
    ("text", "lang"),
    [("made 14kg sauce 365 ppl ok?", "en"), ("hice 14 kg de salsa 365 pax vale?", "es")],
)
def test_fourteen_kilograms_of_sauce_are_38_grams_each(text: str, lang: str) -> None:
    assert_says(text, lang, each=38.4, plan=40)  # by hand: 14000 / 365


@pytest.mark.parametrize(
    ("text", "lang"), [("oil vin 3:1 2.5L", "en"), ("aceite vinagre 3 a 1 2,5 L", "es")]
)
def test_three_to_one_in_two_and_a_half_litres(text: str, lang: str) -> None:
    assert_says(text, lang, oil=1.88, vinegar=0.62, salt=25)  # by hand: quarters of 2.5 L


def test_the_order_of_the_words_decides_which_part_is_which() -> None:
    assert_says("vinegar oil 1:3 2.5L", "en", oil=1.875, vinegar=0.625)  # by hand


def test_twice_of_what_is_asked_back() -> None:
    for text, lang in (("doble de aliño", "es"), ("double the dressing", "en")):
        answer = ask(text, AskContext(lang=lang))
        assert answer.question is not None
        assert not answer.numbers


# ------------------------------------------------------------------ the same family, by hand


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("brine 6% of solution 25 L", {"salt": 1.596}),
        ("equilibrium brine 1.5% 10kg pork 5L water", {"salt": 225}),
        ("brine is 4% want 6% 20 L", {"salt": 437}),
        ("brine is 8% want 5% 20 L", {"water": 12.7}),
        ("brine 40 salometer 20 L", {"salt": 2.361, "strength": 10.56}),
        ("30% and 12% fat to 20% 25 lb", {"a": 11.11, "b": 13.89}),
        ("dry salt 48 steaks 190 g 1.2 %", {"salt": 109.4}),
        ("dry brine 14 kg", {"salt": 168}),
        ("rub sin sal 57 kg", {"no_salt_rub": 684}),
        ("20 g/kg rub 14 kg", {"rub": 280}),
        ("rub 14 lb ribs", {"rub": 4.48}),
        ("marinade 10 kg chicken", {"marinade": 2}),
        ("5:1 brine for 8 kg meat", {"water": 6.667, "concentrate": 1.333}),
        ("5:1 conc 5 gal empty bucket", {"water": 4.167, "concentrate": 0.833}),
        ("9kg bottle 12kW how long", {"plan": 8.2, "paper": 10.3}),
        ("ice for 20 kg beans from 20 to 4", {"melted": 3.36}),
        ("2 gal in L", {"value": 7.571}),
        ("2 imperial gal in L", {"value": 9.092}),
        ("165F in C", {"value": 73.9}),
        ("3 lb to kg", {"value": 1.361}),
        ("1 cup flour in g", {"weight": 125}),
        ("1 cup brown sugar packed", {"weight": 220}),
        ("2 tbsp honey", {"weight": 42.4}),
        ("60 kg salad 360 ppl how much each", {"each": 166.7}),
        ("30 a load 4.5 min how many per hour", {"per_hour": 400}),
        ("water for 320 ppl 4 h", {"water": 640}),
        ("rice for 150", {"dry": 9}),
        ("bread for 200 people", {"bread": 14}),
        ("brisket for 80 buffet", {"raw_buffet": 26.8}),
        ("only 9 cabbages", {"shredded": 8.55}),
        ("pellets 4h", {"fuel": 1.5}),
        ("5 parts water 1 part conc 18 L", {"water": 15, "concentrate": 3}),
        ("18 litre tub 5-1 concentrate", {"water": 15, "concentrate": 3}),
        ("brine 60g/L 10 L", {"salt": 600}),
        ("make 10 L of 5% brine from 25%", {"strong": 1.78, "water": 8.27}),
        ("6 cases of 12 kg 180g steaks trim 8 how many", {"portions": 368}),
        ("how many 12 kg cases for 320 people at 180 g with 8% trim", {"cases": 6, "spare": 48}),
        ("30 steaks a load 4.5 min 288 steaks how long", {"loads": 10, "time": 45, "last": 18}),
        ("cure for 5kg sausage at 120 ppm 6.25%", {"cure": 9.6}),
        ("portion cost collar 7.20/kg trim 8 190g", {"cost": 1.49}),
        ("half of 330 g", {"value": 165}),
        ("potatoes to buy for 5 kg peeled", {"bought": 6.41}),
        ("10 kg carrots bought how much peeled", {"clean": 8.55}),
        ("no shows 300 free public", {"come": 278}),
        ("how many plates for 320", {"plates": 352}),
        ("grams in a cup of sugar", {"weight": 200}),
        ("ribs for 40 buffet late night", {"raw_buffet": 9.6}),
    ],
)
def test_other_amounts(text: str, wanted: dict[str, float]) -> None:
    assert_says(text, "en", **wanted)  # by hand, each from its rule
