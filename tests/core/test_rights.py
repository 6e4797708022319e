"""Who may wish what. Expected cells: crews' rule sheet, common practice."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from core.cook import Cook
from core.errors import NotAllowedError
from core.facts import (
    Apply,
    ChangeHeads,
    CloseCook,
    GiveReading,
    MovePlates,
    Report,
    ReportStep,
    RunLate,
    Undo,
    Wish,
)
from core.facts.slips import (
    AskCure,
    DropPieces,
    FireBack,
    FireDown,
    FireSlow,
    FoundFrozen,
    GasOut,
    GoodsOff,
    LotMissed,
    Part,
    PersonIn,
    PersonOut,
    SpeechFirst,
    Supply,
    SupplyOut,
    SwitchWeather,
    TakeOption,
)
from core.model import Cards, Event, Kit, Lead, Person, Place, Reading, Role, say
from core.rights import CLIENT, RIGHTS, Action, Column, Right, check_right, column_of

NOW = datetime(2026, 6, 13, 12, tzinfo=UTC)
CREW = (
    Person("ana", "Ana", Role.CHEF),
    Person("bo", "Bo", Role.PIT, (Lead.PIT,)),
    Person("carmen", "Carmen", Role.COLD, (Lead.COLD, Lead.ALLERGY)),
    Person("dev", "Dev", Role.FRONT, (Lead.FRONT,)),
    Person("eli", "Eli", Role.DRIVER),
    Person("nuria", "Nuria", Role.RAW),
    Person("kim", "Kim", Role.LANE),
)
EVENT = Event("e", "E", date(2026, 6, 13), "Europe/London", 60, (), ())
COOK = replace(Cook(), cards=Cards(EVENT, Kit(()), CREW, ()))

PEOPLE = ("ana", "bo", "carmen", "dev", "eli", "nuria", "kim", CLIENT)
LEADS = {"ana", "bo", "carmen", "dev"}
WORKING = set(PEOPLE) - {CLIENT}
WISHES: dict[str, tuple[Wish, set[str]]] = {
    "heads": (ChangeHeads(68), LEADS | {CLIENT}),  # leads and client ask, the chef decides
    "plates": (MovePlates(NOW), LEADS | {CLIENT}),
    "apply": (Apply(68, NOW, say("x")), {"ana"}),
    "close": (CloseCook(), {"ana"}),
    "on": (ReportStep("A", "on", Report.START), WORKING),
    "off": (ReportStep("A", "off", Report.DONE), WORKING),
    "bin": (ReportStep("A", "bin", Report.DISCARD, 3), WORKING),
    "reading": (GiveReading(Reading(46.0, Place.CORE, NOW, "bo")), WORKING),
    "late": (RunLate(5), WORKING),
    "undo": (Undo(), set(PEOPLE)),
    # what is true may be told by anybody who works; what is done about it is of whose part it is
    "fire down": (FireDown("P1"), WORKING),
    "fire back": (FireBack("P1"), WORKING),
    "fire slow": (FireSlow("P1"), WORKING),
    "wind": (SwitchWeather(wind_kmh=30), WORKING),
    "gas": (GasOut(), WORKING),
    "power": (SupplyOut(Supply.POWER), WORKING),
    "person out": (PersonOut("eli"), WORKING),
    "person in": (PersonIn("eli"), WORKING),
    "dropped": (DropPieces(3, "A"), WORKING),
    "tub missed": (LotMissed("brine"), WORKING),
    "delivery": (GoodsOff("lamb", core_c=9.0), WORKING),
    "frozen": (FoundFrozen(), WORKING),
    "speech": (SpeechFirst(10), LEADS | {CLIENT}),
    "cure": (AskCure("sauce"), set(PEOPLE)),
    "take a fire": (TakeOption("keep", Part.FIRE), {"ana", "bo"}),
    "take later plates": (TakeOption("later", Part.PROMISE), {"ana"}),
    "take hands for a lane": (TakeOption("cover/kim", Part.PACE), {"ana", "dev"}),
    "take hands for salads": (TakeOption("cover/carmen", Part.SALADS), {"ana", "carmen"}),
}


@pytest.mark.parametrize("person", PEOPLE)
@pytest.mark.parametrize("action", WISHES)
def test_each_of_eight_people_may_do_exactly_what_the_sheet_says(person: str, action: str) -> None:
    wish, allowed = WISHES[action]
    if person in allowed:
        check_right(COOK, wish, person)
    else:
        with pytest.raises(NotAllowedError):
            check_right(COOK, wish, person)


def test_a_refusal_names_whom_to_ask() -> None:
    with pytest.raises(NotAllowedError, match="Ask Ana"):
        check_right(COOK, ChangeHeads(68), "eli")


@pytest.mark.parametrize(
    ("part", "person", "whom"),
    [
        (Part.FIRE, "carmen", "Ask Ana / Bo"),
        (Part.SALADS, "bo", "Ask Ana / Carmen"),
        (Part.PACE, "eli", "Ask Ana / Dev"),
        (Part.PROMISE, "bo", "Ask Ana"),
    ],
)
def test_a_tap_that_is_not_theirs_is_refused_with_whom_to_ask(
    part: Part, person: str, whom: str
) -> None:
    with pytest.raises(NotAllowedError, match=whom):
        check_right(COOK, TakeOption("x", part), person)


def test_the_table_has_every_cell() -> None:
    assert {(a, c) for a, row in RIGHTS.items() for c in row} == {
        (a, c) for a in Action for c in Column
    }


def test_anybody_on_the_crew_may_stop_and_only_the_chef_may_lift() -> None:
    stop, lift = RIGHTS[Action.STOP], RIGHTS[Action.LIFT]
    assert [c for c in Column if stop[c] is not Right.YES] == [Column.CLIENT]
    assert [c for c in Column if lift[c] is Right.YES] == [Column.CHEF]


def test_a_lead_of_allergies_alone_stands_with_the_crew() -> None:
    assert column_of(Person("ben", "Ben", Role.COLD, (Lead.ALLERGY,))) is Column.CREW
