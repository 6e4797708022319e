"""Lines about amounts as a hurried cook types them, and what nobody may be told by mistake."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest

from bot.cards import read_event
from core.ask import AskContext, ask
from core.model import Answer, Line, Profile, Qty, Role
from core.scaling.brine import SATURATED
from tests.published import published

NOTHING = AskContext()
EXAMPLES = Path(__file__).parents[3] / "bot" / "examples"


@pytest.fixture(scope="module")
def wedding() -> AskContext:
    return AskContext(cards=read_event(EXAMPLES / "golden_wedding"), role=Role.CHEF)


def numbers(answer: Answer) -> dict[str, float]:
    return {n.name: float(n.value) for n in answer.numbers}


def words(line: Line | None) -> str:
    """Return a template with all that stands in it, as far down as it goes."""
    if line is None:
        return ""
    inner = [words(v) if isinstance(v, Line) else str(v) for v in line.fields.values()]
    return " ".join((line.text, *inner))


# ------------------------------------------------------------------ what cannot be


@pytest.mark.parametrize(
    "text",
    [
        "320 ppl 0g steak 12kg cases",
        "rub 1e308 kg",
        "5to1 conc 1e300L",
        "charcoal 1e9h",
        "arroz 1e308 pax",
        "rub nan kg",
        "rub inf kg ribs",
        "5to1 conc -18L",
        "brine -6% 20 kg chicken",
        "brine 0% 20 kg chicken",
        "0 grates 45x60 steaks 20x12 for 64",
        "2 grates 0x60 steaks 20x12 for 64",
        "320 ppl 180g steak 0 kg cases",
        "rub 0 kg ribs",
        "brisket for 0 people buffet",
        "arroz 0 pax",
        "charcoal 0h grate 120x60",
        "9kg bottle 0kW how long",
        "ice 0 kg beans",
        "rub 999999999 kg ribs",
        "rice for 9999999 people",
        "0.0001 lines 120 plates how long",
        "-2 grates 45x60 steaks 20x12 for 64",
        "charcoal 4h grate 45x999999999999",
        "999999999999F in C",
        "+999999999999",
        "5:1:2 18L",
        "5:1:2 conc 18L tub",
    ],
)
def test_what_cannot_be_is_refused_in_one_line(text: str, wedding: AskContext) -> None:
    for context in (NOTHING, wedding):
        answer = ask(text, context)
        assert len(answer.lines) == 1, answer
        assert answer.lines[0].text == "{name} {value} is out of range: it must be {allowed}."
        assert answer.numbers == ()


def test_whole_hours_of_the_clock_are_no_ratio_of_three() -> None:
    answer = ask("rub 14 kg ribs", NOTHING)
    assert numbers(answer)["rub"] == 280  # by hand: 14 kg x 20 g


# ------------------------------------------------------------------ whose gallon


@published("UK Weights and Measures Act 1985, schedule 1: the gallon is 4.54609 L")
@pytest.mark.parametrize(
    "text", ["brine 2 gallons imperial 6%", "2 uk gal brine 6%", "2 imperial gallons brine 6%"]
)
def test_two_imperial_gallons_at_six_percent_take_546_grams(text: str) -> None:
    answer = ask(text, NOTHING)
    assert numbers(answer)["salt"] == pytest.approx(2 * 4546.09 * 0.06, abs=0.6)
    assert "imperial" in words(answer.read_as)


@published("NIST Handbook 44, Appendix C: the US gallon is 3.785411784 L")
@pytest.mark.parametrize("profile", [None, Profile.US, Profile.AU])
def test_a_gallon_is_american_elsewhere_and_is_said_to_be(profile: Profile | None) -> None:
    answer = ask("brine 2 gal 6%", replace(NOTHING, profile=profile))
    assert numbers(answer)["salt"] == pytest.approx(2 * 3785.41 * 0.06, abs=0.6)
    assert "US" in words(answer.read_as)


@pytest.mark.parametrize("profile", [Profile.UK, Profile.SCOTLAND])
def test_a_gallon_is_imperial_at_a_british_event(profile: Profile) -> None:
    british = replace(NOTHING, profile=profile)
    answer = ask("brine 2 gal 6%", british)
    assert numbers(answer)["salt"] == pytest.approx(546, abs=0.5)  # by hand: 9.09218 L x 60 g
    assert "imperial" in words(answer.read_as)
    american = ask("brine 2 us gal 6%", british)
    assert numbers(american)["salt"] == pytest.approx(454, abs=0.5)  # by hand: 7.57082 L x 60 g


def test_a_stone_is_fourteen_pounds() -> None:
    assert numbers(ask("10 stone in kg", NOTHING))["value"] == pytest.approx(63.5)  # by hand
    assert numbers(ask("rub 2 stone ribs", NOTHING))["rub"] == pytest.approx(254)  # by hand


# ------------------------------------------------------------------ brines


def test_a_brine_without_a_strength_takes_the_rule_of_thumb_and_says_so() -> None:
    answer = ask("brine 5 lb chicken", NOTHING)
    # by hand: 2.268 kg, as many litres, 60 g each = 136 g = 4.80 oz
    assert numbers(answer)["salt"] == pytest.approx(4.80, abs=0.01)
    assert "rule of thumb" in words(answer.read_as)


def test_fish_has_no_usual_strength() -> None:
    assert ask("brine 5 kg fish", NOTHING).numbers == ()


def test_a_dry_brine_in_spanish_is_salt_without_water() -> None:
    answer = ask("salmuera seca 20 kg", AskContext(lang="es"))
    assert numbers(answer) == {"salt": 240}  # by hand: 20 kg x 12 g


@published("'The Salometer and How to Use It': 60 degrees are 15.837 % by weight")
def test_salometer_degrees_alone_are_a_strength() -> None:
    found = numbers(ask("salometer 60", NOTHING))
    assert found["strength"] == pytest.approx(15.837, abs=0.05)  # three figures are shown
    assert pytest.approx(0.15837, abs=5e-6) == SATURATED * 0.6
    # CRC Handbook, aqueous NaCl at 20 °C, between 1.1008 (14 %) and 1.1162 (16 %)
    assert found["weight_of_a_litre"] == pytest.approx(1.115, abs=0.001)


def test_half_a_cup_in_millilitres_is_a_volume() -> None:
    answer = ask("½ cup oil in ml", NOTHING)
    assert answer.question is None
    assert numbers(answer)["value"] == pytest.approx(118.3)  # by hand: 236.588 / 2


# ------------------------------------------------------------------ food at work is no crowd


@pytest.mark.parametrize(
    "text",
    [
        "hot box lamb 54 for 2h",
        "chicken been on for 2h now 62",
        "chicken now 62",
        "lamb in hot box for 54",
        "rice on since 2pm 58",
        "pork core 58 for 10",
        "beans out for 3h at 40",
    ],
)
def test_a_line_with_a_time_a_box_or_a_core_never_feeds_people(
    text: str, wedding: AskContext
) -> None:
    for context in (NOTHING, wedding):
        answer = ask(text, context)
        assert not {n.name for n in answer.numbers} & {"raw_seated", "raw_buffet", "dry", "cooked"}


@pytest.mark.parametrize("text", ["rice for 80 on saturday", "cuanto arroz para 80 el sabado"])
def test_a_day_is_no_fire(text: str) -> None:
    assert numbers(ask(text, NOTHING))["dry"] == pytest.approx(4.8)  # by hand: 80 x 60 g


def test_people_are_still_fed() -> None:
    # rule of thumb: 320 to 350 g raw each at a buffet; by hand 80 x 335 g
    for text in ("brisket for 80 buffet", "brisket for 80 hot buffet"):
        assert numbers(ask(text, NOTHING))["raw_buffet"] == pytest.approx(26.8)


# ------------------------------------------------------------------ cans and cases


def test_twelve_hundred_or_one_point_two_kilograms_of_pork_are_both_offered(
    wedding: AskContext,
) -> None:
    for context in (NOTHING, wedding):
        answer = ask("1.200 kg pork how many cases 12kg", context)
        assert len(answer.choices) == 2
        tapped = [ask(f"1.200 kg pork how many cases 12kg {kg} kg", context) for kg in (1.2, 1200)]
        assert [numbers(a)["cases"] for a in tapped] == [1, 100]  # by hand: 1.2 / 12, 1200 / 12


@published("K-State can-size note: a No. 10 can is 6 lb to 7 lb 5 oz, 12 to 13 cups")
@pytest.mark.parametrize(
    "text", ["#10 can beans 3", "3 #10 cans of beans", "3 no. 10 cans tomatoes"]
)
def test_a_number_ten_can_is_a_can_and_not_ten_people(text: str) -> None:
    answer = ask(text, NOTHING)
    net = next(n for n in answer.numbers if n.name == "net")
    assert net.low == pytest.approx(3 * 6 * 0.45359, abs=0.01)
    assert net.high == pytest.approx(3 * (7 + 5 / 16) * 0.45359, abs=0.01)
    cups = next(n for n in answer.numbers if n.name == "volume")
    assert cups.low == pytest.approx(3 * 12 * 0.236588, abs=0.05)


# ------------------------------------------------------------------ one rule, one number


@pytest.mark.parametrize(
    "text", ["ice for 20 kg beans", "how do i cool 20 kg beans", "hielo 20 kg alubias"]
)
def test_twenty_kilograms_of_beans_take_thirty_of_ice_however_it_is_asked(text: str) -> None:
    # common practice: its own weight and half again, from the boil to the fridge
    assert numbers(ask(text, NOTHING))["ice"] == pytest.approx(30)


def test_enough_sauce_is_no_verdict() -> None:
    answer = ask("made 14kg sauce 365 ppl ok?", NOTHING)
    assert answer.verdict is None
    assert answer.lines[0].text == "{each} each: enough (plan {plan}). Level ladle, not heaped."
    assert numbers(answer)["each"] == pytest.approx(38.4)  # by hand: 14000 g / 365


@pytest.mark.parametrize(
    "text", ["prague powder 12g 6.25% 5kg sausage", "sal de cura 12g 6.25% 5kg"]
)
def test_curing_salt_is_known_by_its_other_names(text: str) -> None:
    assert numbers(ask(text, NOTHING))["nitrite"] == pytest.approx(150)  # by hand: 0.75 g / 5 kg


def test_prague_powder_of_no_stated_strength_is_asked_about() -> None:
    answer = ask("prague powder 12g 5kg sausage", NOTHING)
    assert answer.question is not None
    assert answer.numbers == ()


# ------------------------------------------------------------------ on the grate


def test_a_piece_larger_than_the_grate_does_not_fit() -> None:
    answer = ask("2 grates 45x60 piece 200x120 for 64", NOTHING)
    assert answer.lines[0].text.startswith("Does not fit")
    assert numbers(answer) == {"per_grate": 0}


def test_two_sizes_share_a_grate() -> None:
    # by hand, 2 cm of air: five columns of four steaks take 85 x 52 cm; in the 35 x 60 cm left lie
    # eight ears of 22 x 7 one above the other, and two more upright beside them
    answer = ask("grate 120x60 20 steaks 15x11 and 10 corn 20x5", NOTHING)
    assert numbers(answer) == {"loads": 1}


def test_more_than_a_grate_holds_is_laid_in_loads() -> None:
    # by hand: 60 x 221 + 10 x 154 = 14 800 cm2 on 7 200 a load, so three at the least
    answer = ask("grate 120x60 60 steaks 15x11 and 10 corn 20x5", NOTHING)
    assert numbers(answer)["loads"] == 3
    one_too_big = ask("grate 45x60 1 hog 200x120 and 3 corn 20x5", NOTHING)
    assert one_too_big.lines[0].text.startswith("Does not fit")


def test_three_hundred_over_seventy_twos_are_five_loads_the_last_of_twelve() -> None:
    for text in ("300 over 72s", "300 in loads of 72", "300 en tandas de 72"):
        assert numbers(ask(text, NOTHING)) == {"loads": 5, "last": 12}  # by hand: 300 - 4 x 72


def test_a_line_serves_three_and_a_half_to_five_plates_a_minute() -> None:
    took = ask("120 plates 1 line how long", NOTHING).numbers[0]
    assert (took.low, took.high, took.unit) == (24, 35, "min")  # by hand: 120 / 5 and 120 / 3.5
    both = ask("120 plates 2 lines how long", NOTHING).numbers[0]
    assert (both.low, both.high) == (12, 18)  # by hand


def test_a_bare_number_of_a_pit_is_told_in_both_scales() -> None:
    answer = ask("225 pit", NOTHING)
    assert numbers(answer) == {"if_fahrenheit": 107, "if_celsius": 225}  # by hand: 193 / 1.8
    assert len(answer.choices) == 2
    assert numbers(ask("225 pit 225 °F", NOTHING)) == {"value": 107}
    assert numbers(ask("225 pit 225 °C", NOTHING)) == {"value": 437}  # by hand: 405 + 32


# ------------------------------------------------------------------ heads and lists


@pytest.mark.parametrize(("text", "lang"), [("+40", "en"), ("now 360", "en"), ("somos 360", "es")])
def test_a_change_of_heads_echoes_the_total_and_changes_nothing(
    text: str, lang: str, wedding: AskContext
) -> None:
    answer = ask(text, replace(wedding, heads=320, lang=lang))
    assert numbers(answer) == {"heads": 360, "change": 40}  # by hand: 320 + 40
    assert "cook's chat" in answer.lines[1].text


def test_fewer_than_nobody_cannot_come(wedding: AskContext) -> None:
    assert ask("-400", wedding).numbers == ()
    assert ask("+40", NOTHING).numbers == ()


@pytest.mark.parametrize(
    "text",
    ["lista de compra", "buy list", "prep sheet", "load-out list", "tub labels", "etiquetas"],
)
def test_the_lists_are_told_in_short_with_where_the_rest_is(text: str, wedding: AskContext) -> None:
    answer = ask(text, wedding)
    lines = numbers(answer)["lines"]
    assert len(answer.lines) == 4
    assert answer.lines[0].fields["n"] == Qty(lines, "lines", 0)
    assert answer.lines[-1].fields["n"] == Qty(lines - 6, "", 0)
    assert "--sheets DIR" in answer.lines[-1].text


def test_a_list_without_an_event_says_what_it_lacks() -> None:
    answer = ask("prep sheet", NOTHING)
    assert answer.numbers == ()
    assert "no event" in answer.lines[0].text


ABSURD = (
    "0",
    "-1",
    "-18",
    "0.0001",
    "1e308",
    "1e-300",
    "-1e9",
    "nan",
    "inf",
    "999999999999",
    "1/0",
)
PLAIN = ("1", "12", "45", "100", "1000000", "1.200", "½")
ASKED = """{} ppl {}g steak {}kg cases trim {}
{}kg cabeza con hueso cuantos bocatas {}g
arroz {} pax
{}:{} conc {}L {} kg
brine {}% {}kg chicken
brine {} salometer {} L
brine is {}% want {}% {} L
dry salt {} steaks {} g {} %
{}% and {}% fat to {}%, {} lb
cure {}g {}% {}kg sausage
cure for {}kg bacon at {} ppm {}%
{} g/kg rub for {} kg
dressing for {} heads cabbage
made {}kg sauce {} ppl ok?
sani bucket {}L bleach {}% {} ppm
{} grates {}x{} steaks {}x{} for {}
{} a load {} min {} steaks how long
{} over {}s
{} plates {} lines how long
grate {}x{} {} steaks {}x{} and {} corn {}x{}
charcoal {}h grate {}x{}
{}kg bottle {}kW how long
ice to cool {} kg beans from {} to {}
water for {} ppl {} h
{} cups rub in g
{} gal in L
only {} cabbages
no shows {} free
#10 can beans {}
{} kg pork how many {}kg cases
{} pit
+{}
tub labels for {}"""


@pytest.mark.parametrize("asked", ASKED.splitlines())
def test_no_number_however_absurd_breaks_an_answer(asked: str, wedding: AskContext) -> None:
    rng = random.Random(asked)
    for turn in range(12):
        text = asked.format(*(rng.choice(ABSURD + PLAIN) for _ in range(asked.count("{}"))))
        answer = ask(text, wedding if turn % 2 else NOTHING)
        assert 1 <= len(answer.lines) <= 4, text
        for n in answer.numbers:
            assert abs(float(n.value)) < 1e10, text
