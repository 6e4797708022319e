"""Worked cases with the answer their document gives, asked as a cook would ask them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from core.ask import AskContext, ask
from core.model import FoodClass, Place, Profile, Verdict
from core.safety.clocks import Out, Side, out_verdict
from core.safety.cooking import cook_verdict
from core.safety.cooling import Cooling, cooling_verdict
from core.safety.degrees import of_f
from core.safety.food import food_of_class
from core.safety.heat_met import Heat
from core.safety.holding import found_at
from core.safety.pink import Guests
from tests.published import published

NOON = datetime(2026, 6, 13, 12, tzinfo=UTC)

CASES = [  # the line, rule book, verdict, clause
    ("beef burger core 155 F held 16 s", "us", "NOT YET", "3-401.11(A)(2)"),
    ("injected pork butt core 145 F held 120 s", "us", "NOT YET", "3-401.11(A)(2) chart"),
    ("whole beef roast core 130 F held 112 min", "us", "OK", "3-401.11(B)"),
    ("chicken 12 % fat core 150 F held 4.0 min", "us", "NOT YET", "FSIS RTE poultry table"),
    ("chicken core 145 F held 5 min", "us", "NOT YET", "FSIS RTE poultry document"),
    ("chili cooled 135 F at 0 h, 72 F at 2 h", "us", "BIN", "3-501.14(A)"),
    ("smoked whole onions cooled 135 F to 70 F in 3 h", "us", "BIN", "1-201.10, 3-501.14"),
    ("salad been out 119 min, air 85 F", "us-consumer", "OK", "FSIS outdoor rule"),
    ("dressing pH 4.3, aw above 0.92, unpackaged", "us", "NOT CONFIRMED", "Table B"),
    ("salad out 3 h air 20 c", "au", "OK", "FSANZ 2 h/4 h: use now"),
    ("charcoal grill 8 ft from a wooden wall", "us", "STOP", "IFC 308.1.4"),
]  # fmt: skip


@published("FDA Food Code 2022, USDA FSIS, FSANZ and IFC, the clause beside each line")
@pytest.mark.parametrize(("text", "book", "verdict", "clause"), CASES)
def test_a_worked_case(text: str, book: str, verdict: str, clause: str) -> None:
    answer = ask(text, AskContext(profile=Profile(book), now=NOON))
    assert answer.verdict == verdict, clause


@published("FDA Food Code 3-401.11(C): labelled intact beef steak, both faces 145 °F, core 120 °F")
def test_a_steak_seared_all_over_for_the_general_public() -> None:
    steak = Heat(of_f(120), surface=of_f(145), seared=True)
    book = Profile.US
    food = food_of_class(FoodClass.C)
    assert cook_verdict(food, steak, book, Guests(vulnerable=False)).verdict is Verdict.OK
    assert cook_verdict(food, steak, book, Guests(vulnerable=True)).verdict is not Verdict.OK


@published("FSANZ 2-hour/4-hour rule: 2 to 4 h in all, use now, not back to the fridge")
def test_three_hours_in_australia_is_use_now() -> None:
    answer = ask("salad out 3 h air 20 c", AskContext(profile=Profile.AU, now=NOON))
    assert "not back to the fridge" in answer.lines[0].text


@published("FDA Food Code 3-501.14(B): food from ambient ingredients, 41 °F within 4 h")
def test_potato_salad_that_takes_four_and_a_half_hours() -> None:
    points = ((NOON, of_f(70)), (NOON + timedelta(hours=4, minutes=30), of_f(41)))
    pot = Cooling(points, started=NOON, ambient=True)
    late = cooling_verdict(pot, Profile.US, NOON + timedelta(hours=5))
    assert late.verdict in {Verdict.BIN, Verdict.UNKNOWN}
    warm = Cooling((points[0], (NOON + timedelta(hours=4, minutes=10), of_f(45))), NOON, True)
    assert cooling_verdict(warm, Profile.US, NOON + timedelta(hours=5)).verdict is Verdict.BIN


@published("FDA Food Code 3-501.16(A)(1): roasts cooked under (B) are held at 130 °F")
def test_a_roast_held_at_130_f() -> None:
    out = Out(Side.HOT, None, NOON)
    held = found_at(of_f(130), Place.CORE, out, Profile.US, roast=True)
    assert held.verdict is Verdict.OK
    assert found_at(of_f(130), Place.CORE, out, Profile.US).verdict is not Verdict.OK


@published("FDA Food Code 3-501.19(C): six hours, warmest part never over 70 °F")
def test_six_hour_food_that_reached_71_f() -> None:
    out = Out(Side.COLD, NOON - timedelta(hours=3), NOON, warmest=of_f(71), procedure=True,
              six_hours=True)  # fmt: skip
    assert out_verdict(out, Profile.US).verdict is Verdict.BIN
