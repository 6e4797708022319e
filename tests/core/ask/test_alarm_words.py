"""Alarms are heard in both languages, past numbers, weights and typos; talk of the trade is none.

The lines were gathered by hand from what frightened people type: common practice.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.cards import read_event
from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from core.ask import AskContext, ask
from core.ask.asked_emergency import alarm_heard, is_supposed
from core.model import Verdict

HEARD = """
co|3 people dizzy in tent with charcoal
co|two guests feel faint and sick in the marquee
co|headache everybody in the tent
co|humo en la carpa y mareados
co|gente mareada en la carpa
co|all of us dizzy in van with grill
co|smoke alarm
co|co alrm beeping
co|CO detector going off in van
co|smoke in the tent and people coughing
co|monoxido en la carpa
reaction|swolen lips
reaction|swollen lipps after salad
reaction|her lips are swelling up table 4
reaction|labios inchados
reaction|cara hinchada 2 personas
reaction|woman cant breath
reaction|le cuesta respirar
reaction|epipen now
reaction|table 4 needs epi pen
reaction|guest ate nuts and is allergic
reaction|anafilaxis mesa 4
choking|man choking table 3
choking|se ahoga mesa 2
down|bo collapsed
down|bo passed out by the pit
down|paco se ha desmayado
down|guest unconsious table 9
down|chest pain guest
down|somebody electrocuted
gas|i smell gas
gas|smell of gass by ring
gas|huele mucho a gas
gas|gas bottle hissing 12kg
gas|bombona silba
gas|fuga gas
grease|5 L oil on fire
grease|pan of 2 kg fat on fire
grease|aceite ardiendo
grease|grease fire on G2
fire|tent is on fire
fire|the tarp caught fire
fire|se quema la carpa
fire|flames out of the 20 kg cylinder
fire|there is a fire
fire|fuego!
burn|eli has burned his hand
burn|cut my finger deep bleeding
burn|me he cortado el dedo
lightning|lightning close
lightning|rayos cerca
lightning|thunder
collapse|heat stroke jo
collapse|carmen golpe de calor
collapse|paco mareado dice q esta bien
collapse|jo confused and not sweating
""".strip().splitlines()

NONE = """
fire
fire up the grill
fire b1
light the fires at 16:05
G2 fire going well
smoke the lamb 62 min
swollen beans after soak
tent collapsed in the wind
gas bottle 9kg swap
gas leak test done no leak
soap test no smell of gas
choking the vents on pit 2
cut the onions
cut 348 steaks
sear both faces
heat 280
lighting grill now
lightning forecast for tomorrow
marta not coming
pen for the labels
burnt ends 12 kg
coals in at 17:20
charcoal 14 kg bag
mango chutney 3 kg
boring shift
leek and smoked trout
fresh air in the kitchen
fitting the racks
""".strip().splitlines()


@pytest.mark.parametrize("line", HEARD)
def test_an_alarm_is_heard(line: str) -> None:
    alarm, text = line.split("|")
    assert alarm_heard(text) == alarm
    assert alarm_heard(text.upper()) == alarm


@pytest.mark.parametrize("line", HEARD)
@pytest.mark.parametrize("more", [" 12 kg", " 3 L", " 50 %", " 40 min", " at 18:20", " 200 ppl"])
def test_no_number_or_weight_beside_it_mutes_it(line: str, more: str) -> None:
    alarm, text = line.split("|")
    found = alarm_heard(text + more)
    assert found in {alarm, "co"} if alarm == "collapse" else found == alarm


@pytest.mark.parametrize("text", NONE)
def test_talk_of_the_trade_raises_none(text: str) -> None:
    assert alarm_heard(text) is None


@pytest.mark.parametrize("cards", [read_event(GOLDEN_WEDDING), read_event(HARVEST_SUPPER)])
def test_asked_about_it_is_answered_at_once_with_a_stop(cards: object) -> None:
    for line in HEARD:
        text = line.split("|")[1]
        answer = ask(text, AskContext(cards=cards))  # type: ignore[arg-type]
        assert answer.verdict is Verdict.STOP, text
        assert answer.question is None


@pytest.mark.parametrize(
    "text",
    ["what do i do if there is a gas leak", "que hago si huele a gas", "fire drill: tent on fire",
     "in case of a grease fire?", "simulacro: carpa en llamas"],
)  # fmt: skip
def test_what_is_only_supposed_rings_nobody(text: str) -> None:
    assert alarm_heard(text) is not None
    assert is_supposed(text)


def test_no_line_of_the_verdict_table_is_an_alarm() -> None:
    table = Path(__file__).parents[1] / "safety" / "verdicts.csv"
    rows = csv.DictReader(table.read_text("utf-8").splitlines())
    assert [row["text"] for row in rows if alarm_heard(row["text"])] == []


@pytest.mark.parametrize("name", ["golden_wedding", "harvest_supper"])
def test_no_line_of_an_example_s_day_is_an_alarm(name: str) -> None:
    folder = {"golden_wedding": GOLDEN_WEDDING, "harvest_supper": HARVEST_SUPPER}[name]
    lines = (folder / "day.txt").read_text("utf-8").splitlines()
    said = [line.split(": ", 1)[1] for line in lines if ": " in line and line[0] != "#"]
    assert [text for text in said if alarm_heard(text)] == []


@given(st.sampled_from(HEARD), st.integers(0, 9999), st.sampled_from(["kg", "L", "", "min", "ppl"]))
def test_whatever_amount_comes_first_it_is_still_heard(line: str, n: int, unit: str) -> None:
    assert alarm_heard(f"{n} {unit} {line.split('|')[1]}") is not None


@given(st.text(max_size=80))
def test_no_text_breaks_it(text: str) -> None:
    alarm_heard(text)
