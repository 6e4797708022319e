"""The promises of a quick answer: never a crash, never a silent pick, always how it was read."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest

from bot.cards import read_event
from core.ask import AskContext, Rank, ask
from core.ask.topics import topics
from core.model import Answer, Cards, Line, Make, Profile, Qty, Role, Verdict
from core.scaling.yields import Measured, State

EXAMPLES = Path(__file__).parents[3] / "bot" / "examples"
NOTHING = AskContext()


@pytest.fixture(scope="module")
def wedding() -> AskContext:
    return AskContext(cards=read_event(EXAMPLES / "golden_wedding"), role=Role.CHEF)


@pytest.fixture(scope="module")
def harvest() -> AskContext:
    return AskContext(cards=read_event(EXAMPLES / "harvest_supper"), role=Role.CHEF)


def english(line: Line) -> str:
    """Return a line as an English reader would type it."""

    def word(value: object) -> str:
        match value:
            case Line():
                return english(value)
            case Qty(number, unit):
                return f"{number:g} {unit}".strip()
            case _:
                return getattr(value, "text", str(value))

    return line.text.format(**{name: word(value) for name, value in line.fields.items()})


def numbers(answer: Answer) -> dict[str, float]:
    return {n.name: float(n.value) for n in answer.numbers}


# ------------------------------------------------------------------ never a crash

WORDS = """brine salmuera rub adobo sauce salsa dressing aliño cabbage col head heads cabeza per por
ppl pax people guests comensales steak filete collar ribs costillas pollo chicken cases cajas trim
merma grates parrilla loads tandas for para how much cuanto many tub cubo conc agua water oil aceite
vinagre vin bleach lejia sani carbon charcoal wind viento ice hielo cups tazas tbsp gal qt lb oz
rice arroz beans alubias bread pan made hice only solo double doble half x2 cost escandallo cure
nitrite ppm salometer equilibrium gas bottle bombona pellets wood leña plates of de in en with con
to a is ? ! ok 👍 +40 -5 4/5 5:1 1:5 3to1 6% 8 % 5% 25 kg 18L 180g 12kg 14 kg 2,5 1.200 1,200 45x60
20x12
1,2x0,6 3h 90 min 165F 225 C 12 kW 0 -3
999999999 1e9 NaN inf ½ ¼ 18:30 1830 6:30 ñ ß 中 \x00 \u200b
kg L mL % °C °F . , ; : / \\ ( ) { } {x} %s $ # @ <b> ' " ``"""


def sloppy(seed: int) -> str:
    """Return a line of words and numbers thrown together, now and then with a letter lost."""
    rng = random.Random(seed)
    words = [rng.choice(WORDS.split()) for _ in range(rng.randint(1, 9))]
    text = rng.choice([" ", " ", "  ", ""]).join(words)
    if rng.random() < 0.3 and text:
        at = rng.randrange(len(text))
        text = text[:at] + text[at + 1 :]
    return text.upper() if rng.random() < 0.1 else text


@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_thousand_sloppy_questions_are_all_answered(
    lang: str, wedding: AskContext, harvest: AskContext
) -> None:
    contexts = [replace(c, lang=lang) for c in (NOTHING, wedding, harvest)]
    for seed in range(500):
        answer = ask(sloppy(seed), contexts[seed % 3])
        assert answer.lines, seed
        assert len(answer.lines) <= 4, (seed, sloppy(seed))
        assert len(answer.choices) <= 4, seed
        assert bool(answer.choices) <= (answer.question is not None), seed
        assert answer.verdict not in {Verdict.OK, Verdict.NO}, sloppy(seed)


@pytest.mark.parametrize("text", ["", " ", "?", "x" * 5000, "5:1 " * 90, "0:0 18L conc", "\x00"])
def test_odd_lines_are_answered_too(text: str) -> None:
    assert ask(text, NOTHING).lines


@pytest.mark.parametrize(
    "text",
    [
        "rub -14 kg ribs",
        "sani bucket 10L bleach 100%",
        "brine 100% 25 kg chicken",
        "320 ppl 180g steak 12kg cases trim 100",
        "brine 140 salometer 20 L",
        "30% and 12% fat to 40%",
        "2 grates 10x10 steaks 20x12 for 64",
    ],
)
def test_what_cannot_be_is_refused_in_words(text: str) -> None:
    answer = ask(text, NOTHING)
    assert answer.lines
    assert not any(n.value == float("inf") for n in answer.numbers)


# ------------------------------------------------------------------ never a silent pick


def test_nonsense_is_an_honest_unknown() -> None:
    answer = ask("purple monkey dishwasher", NOTHING)
    assert answer.verdict is Verdict.UNKNOWN
    assert len(answer.lines) == 1


def test_a_number_with_two_readings_shows_both() -> None:
    answer = ask("rub for 1.200 kg ribs", AskContext(lang="es"))
    assert len(answer.lines) == 2
    assert [english(c) for c in answer.choices] == ["1.2 kg", "1200 kg"]


def test_the_number_said_again_settles_it() -> None:
    answer = ask("rub for 1.200 kg ribs 1200 kg", AskContext(lang="es"))
    assert numbers(answer)["rub"] == pytest.approx(24)  # by hand: 1200 kg x 20 g


@pytest.mark.parametrize(
    "text",
    [
        "5to1 conc 18L tub how much",
        "sani bucket 10L",
        "cure 12g 5kg sausage",
        "2 gal in L",
        "dilute 25% brine to 5% 10 L",
        "40kg lamb 150g how many portions",
    ],
)
def test_a_choice_said_after_the_question_is_enough(text: str) -> None:
    answer = ask(text, NOTHING)
    assert answer.question is not None
    for choice in answer.choices:
        settled = ask(f"{text} {english(choice)}", NOTHING)
        assert settled.question is None, english(choice)
        assert settled.numbers, english(choice)


def test_twice_of_one_of_two_sauces_is_asked_and_the_tap_settles_it(wedding: AskContext) -> None:
    answer = ask("doble de salsa", replace(wedding, lang="es"))
    assert len(answer.choices) == 2
    got = [ask(f"doble de salsa {english(c)}", wedding) for c in answer.choices]
    assert [a.numbers[0].value for a in got] == [516.0, 492.0]  # by hand: twice 258 and 246


# ------------------------------------------------------------------ what is known besides


def test_the_house_yield_beats_the_rule_of_thumb_and_says_so() -> None:
    house = (Measured("pulled pork", State.COOKED, 0.5, 3),)
    answer = ask("40kg cabeza con hueso cuantos bocatas 110g", AskContext(house=house))
    assert answer.numbers[0].value == 180  # by hand: 20 kg / 110 g, to the nearest five
    assert answer.sources[0].status == "house"


def test_a_rule_of_thumb_is_named_as_one() -> None:
    answer = ask("rub 14kg ribs", NOTHING)
    assert [s.status for s in answer.sources] == ["rule of thumb"]


def test_british_gallons_for_a_british_event() -> None:
    answer = ask("2 gal in L", AskContext(profile=Profile.UK))
    assert numbers(answer)["value"] == pytest.approx(9.092, abs=0.001)  # by hand: 2 x 4.54609
    assert answer.question is None


@pytest.mark.parametrize("role", [None, Role.CREW, Role.PIT, Role.COLD, Role.FRONT])
def test_nobody_but_the_chef_sees_a_cost(wedding: AskContext, role: Role | None) -> None:
    answer = ask("cost per plate now", replace(wedding, role=role))
    assert answer.numbers == ()
    assert answer.lines[0].text == "Only the chef sees costs."


def test_the_chef_sees_what_a_plate_costs(wedding: AskContext) -> None:
    answer = ask("cost per plate now", wedding)
    # by hand: 3 x 84.50 + 0.90 + 3 x 3.20 + 2 x 2.60 over 60 heads
    assert answer.numbers[0].value == pytest.approx((253.5 + 0.9 + 9.6 + 5.2) / 60, abs=0.005)
    assert answer.numbers[0].unit == "GBP"


def test_how_much_of_a_good_comes_from_the_cards(harvest: AskContext) -> None:
    assert numbers(ask("how much parsley", harvest))["parsley"] == pytest.approx(1.68)
    assert numbers(ask("how many cases of collar", harvest))["pork_collar"] == pytest.approx(62)


def test_the_plan_in_force_says_what_is_made_unless_other_heads_are_asked(
    harvest: AskContext,
) -> None:
    planned = replace(harvest, makes=(Make("Collar brine concentrate", 7.0, "L", "pork-collar"),))
    assert numbers(ask("how much brine", planned))["collar_brine_concentrate"] == 7.0
    other = numbers(ask("how much brine for 320 people", planned))
    assert other["collar_brine_concentrate"] == pytest.approx(9.5)  # by hand


def test_three_kilograms_of_leeks_feed_36_of_60(wedding: AskContext) -> None:
    answer = ask("solo 3 kg de puerros", replace(wedding, lang="es"))
    assert numbers(answer)["heads"] == 36  # by hand: 3 / 4.95 x 60


def test_nitrite_over_the_limit_is_a_stop() -> None:
    answer = ask("cure 15g 6.25% 5kg sausage", NOTHING)
    assert answer.verdict is Verdict.STOP
    assert numbers(answer)["nitrite"] == pytest.approx(187.5, rel=0.01)  # by hand
    assert answer.lines[0].fields["verdict"] is Verdict.STOP


@pytest.mark.parametrize(
    "text",
    [
        "cure 12g 6.25% 5kg sausage",
        "cure 12g 6.25% 5kg pork",
        "cure 9g 6.25% 5kg bacon",
        "cure for 5kg bacon at 100 ppm 6.25%",
    ],
)
def test_nitrite_under_the_limit_clears_nothing(text: str) -> None:
    answer = ask(text, NOTHING)
    assert answer.numbers
    assert answer.verdict is None


def test_a_cure_whose_kind_was_not_said_meets_the_strictest_limit() -> None:
    answer = ask("cure 13g 6.25% 5kg pork", NOTHING)  # by hand: 162.5 ppm, dry alone would allow it
    assert answer.verdict is Verdict.STOP


def test_a_cure_of_unknown_strength_is_unknown() -> None:
    assert ask("cure 12g 5kg sausage", NOTHING).verdict is Verdict.UNKNOWN


# ------------------------------------------------------------------ the table of topics


def test_topics_are_named_once_and_in_order_of_rank() -> None:
    found = topics()
    assert len({t.name for t in found}) == len(found)
    assert [t.rank for t in found] == sorted(t.rank for t in found)
    assert Rank.EMERGENCY < Rank.SAFETY < Rank.ALLERGEN < Rank.EXACT < Rank.LOOSE


def test_cards_are_never_changed_by_a_question(wedding: AskContext) -> None:
    before: Cards | None = wedding.cards
    ask("buy list", wedding)
    assert wedding.cards is before
