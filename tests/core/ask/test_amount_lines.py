"""Lines about amounts as a hurried cook types them, and what nobody may be told by mistake."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from bot.cards import read_event
from core.ask import AskContext, ask
from core.model import Answer, Line, Profile, Role
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
