"""Lines that must not clear anything: unknown animals, denials, wrong places, bad histories.

Gathered by hand from what tired people type; each would be dangerous with an OK or a NO.
"""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from bot.cards import read_event
from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from core.ask import AskContext, ask
from core.model import Profile, Verdict

NOON = datetime(2026, 6, 13, 12, tzinfo=UTC)
WEDDING, HARVEST = read_event(GOLDEN_WEDDING), read_event(HARVEST_SUPPER)

UNSAFE = """
gallina con arroz 60C
perdiz con alubias 58C
capon with potatoes 60C
guinea fowl with mushrooms 60C
poussin with leek 60C
conejo con patatas 60 ya
morcilla de cebolla 60 ya?
lentejas con chorizo 58C
kebab with onion 58C
mussels with leek 58C
rice with oysters 58C
onion burger 58C
pimientos rellenos de carne picada 58C
stuffed peppers with mince 60C
oysters fish 63C 15 s hold
reuse marinade not boiled
reuse marinade without boiling
marinada de salsa sin hervir ok
about to boil marinade as sauce
garlic oil 5 h not cold
aceite de ajo 3 h sin frio
garlic oil 3h, not fridge, sat on pass
beef steak not labelled whole muscle 52 core faces 63 browned all over general public
smoked pork 40 min this am chilled no written procedure sear tonight
slaw out 3h no written procedure
ensalada no esta a 4
salad not at 4C
salad should be at 4
set fridge at 4 food
chicken not at 74C
chicken nearly 74C
pollo casi 74C
chicken below 75C ok
chicken target 74 done?
chicken will hit 80C soon
labelled beef steak injected core 50 faces 70 browned all over healthy adults
chicken on for 2h core 70
pork in the pit for 3 h core 60
chicken skin 80 done
chicken outside 80 ok
pollo por fuera 80 ya
sous vide chicken bath 80C
chicken arrives air 3
delivery chicken truck at 3
reheat chicken 74 edges 50 middle
reheat to 75? now 40
cooler 4 food, power out all night
fridge broke all night now 4 food
slaw at 4 since yesterday out
slaw at 5 out in the sun all day
salad at 4 fell on floor
ensalada a 4 caducada
slaw at 4 mouldy
reheat 165F 15 s 60 min left out overnight
rice reheated 3 times 75 C
hot box 65 raw burgers
caja caliente a 65 comida cruda
pink chicken in hot box 64
slaw out all morning 10 min
delivery chicken 3 use by yesterday
delivery mussels dead 4
pollo llega a 3 pero camion apagado
leftovers unopened but sat on the line 3h take home now 4
grill inside tent 10 m
ash 10 m from tent no lid
probe dropped, reads 0 in ice
ph 4.1 measured with strip maybe 5
90  0  PARRILLA  1,200  ALIÑO  FOR  ADOBO  FILETE
chicken 74 🤷 probably
""".strip().splitlines()

NOT_NO = """
nuts in lamb and celeriac
gluten in lamb or celeriac?
mustard in lamb with green sauce
gluten in lamb bun
egg in lamb mayo?
milk in lamb, chef added butter
peanuts in lamb fried in peanut oil
traces of nuts in lamb?
may contain nuts lamb?
""".strip().splitlines()

MAY_EAT = """
can nut allergy eat celeriac?
is celeriac gluten free?
salad ok for milk allergy?
puede comer celiaco el celeriac?
""".strip().splitlines()


@pytest.mark.parametrize("text", UNSAFE)
@pytest.mark.parametrize("profile", [None, *Profile])
def test_what_was_not_understood_whole_is_never_ok(text: str, profile: Profile | None) -> None:
    for lang in ("en", "es"):
        answer = ask(text, AskContext(profile=profile, lang=lang, now=NOON))
        assert answer.verdict is not Verdict.OK, (text, lang)


@pytest.mark.parametrize("text", UNSAFE)
def test_nor_with_an_event_s_cards(text: str) -> None:
    for cards in (WEDDING, HARVEST):
        answer = ask(text, AskContext(cards=cards, now=NOON))
        assert answer.verdict not in {Verdict.OK, Verdict.NO}, text


@pytest.mark.parametrize("text", NOT_NO)
def test_a_no_is_for_one_dish_asked_plainly(text: str) -> None:
    answer = ask(text, AskContext(cards=WEDDING, now=NOON))
    assert answer.verdict not in {Verdict.NO, Verdict.OK}, answer


@pytest.mark.parametrize("text", MAY_EAT)
def test_yes_is_never_the_first_word_to_may_they_eat_it(text: str) -> None:
    answer = ask(text, AskContext(cards=WEDDING, now=NOON))
    assert answer.verdict not in {Verdict.YES, Verdict.NO, Verdict.OK}, answer


@pytest.mark.parametrize(
    ("text", "profile"),
    [("chicken core 75 C", Profile.US), ("pollo 75 C ya?", Profile.US),
     ("burger 71 C held 2 min", Profile.UK)],
)  # fmt: skip
def test_a_plain_line_still_clears(text: str, profile: Profile) -> None:
    # FDA Food Code 2022 3-401.11(A)(3): poultry 74 °C; UK FSA: 70 °C for 2 min
    assert ask(text, AskContext(profile=profile, now=NOON)).verdict is Verdict.OK


def test_a_plain_no_still_stands() -> None:
    assert ask("egg in lamb?", AskContext(cards=WEDDING, now=NOON)).verdict is Verdict.NO
