"""Small events for what goes wrong: two grills, thighs for a crowd, three lanes, a crew of five."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from typing import Any

from core.model import (
    Batch,
    Cards,
    Dish,
    Event,
    FoodClass,
    Hold,
    Ingredient,
    Kit,
    Lead,
    MenuItem,
    Moment,
    Pack,
    Person,
    Piece,
    Pin,
    Profile,
    Role,
    Service,
    Size,
    Station,
    StationKind,
    Step,
    Tied,
)

DAY = date(2026, 6, 13)
CREW = (
    Person("ana", "Ana", Role.CHEF, languages=("en",)),
    Person("bo", "Bo", Role.PIT, (Lead.PIT,), ("grill",), ("en",)),
    Person("carmen", "Carmen", Role.COLD, (Lead.COLD, Lead.ALLERGY), ("cold",), ("es",)),
    Person("dev", "Dev", Role.FRONT, (Lead.FRONT,), ("serve", "grill"), ("en",)),
    Person("eli", "Eli", Role.DRIVER, (), ("serve", "grill"), ("en",)),
)
SALAD = Dish(
    "salad",
    "Leaf salad",
    Batch(1, "kg"),
    portion=Batch(0.1, "kg"),
    ingredients=(Ingredient("leaves", qty=1.0, unit="kg", allergens=()),),
    steps=(
        Step("dress", "dress", ideal_min=10, hands=1, skill="cold", tied=Tied.PLATES,
             before_plates_min=30),
    ),
    hold=Hold(quality_max_min=60, safety="cold"),
)  # fmt: skip


def moment(text: str, day: int = 0) -> Moment:
    """A clock time of the day."""
    hour, minute = text.split(":")
    return Moment(day, int(hour), int(minute))


def event(plates: str, heads: int, menu: tuple[MenuItem, ...], **changes: Any) -> Event:
    """An evening in UTC with plates at once."""
    base = Event(
        "evening",
        "Evening",
        DAY,
        "UTC",
        heads,
        menu,
        (Service(moment(plates), at_once=True),),
        profile=Profile.UK,
        slack_min=0.0,
    )
    return replace(base, **changes)


def grills(*, plates: str = "19:00", salad: bool = True) -> Cards:
    """64 steaks, 8 a grate, 9 min a batch, two grills and a pit that nobody uses then."""
    steak = Dish(
        "steak",
        "Steak",
        Batch(8, "pieces"),
        portion=Batch(1, "pieces"),
        piece=Piece(0.2, 2.5, Size(20, 12), FoodClass.A1),
        fits={"grill": 8, "smoker": 8},
        steps=(Step("sear", "sear", "grill", temp_c=280, ideal_min=9),),
        hold=Hold(63, 60, "hot"),
    )
    kit = Kit(
        (
            *(
                Station(
                    f"G{n}", StationKind.GRILL, "G", Size(60, 45), heat_up_min=30, fuel="charcoal"
                )
                for n in (1, 2)
            ),
            Station("P1", StationKind.SMOKER, "P", Size(60, 45), heat_up_min=60, fuel="wood"),
        )
    )
    menu = (MenuItem("steak", make=64), *((MenuItem("salad"),) if salad else ()))
    pins = tuple(
        Pin("steak", f"L{2 * n + k + 1}", "sear", moment(f"18:{20 + 9 * n}"), station=f"G{k + 1}")
        for n in range(4) for k in range(2)
    )  # fmt: skip
    party = event(plates, 64, menu, pins=pins)
    dishes = (steak, SALAD) if salad else (steak,)
    return Cards(party, kit, CREW, dishes)


def buffered() -> Cards:
    """A smoker lit for one load with 21 min in hand before plates and a rest of 10, 6 at least."""
    steak = Dish(
        "steak",
        "Steak",
        Batch(8, "pieces"),
        portion=Batch(1, "pieces"),
        piece=Piece(0.2, 2.5, Size(20, 12), FoodClass.A1),
        fits={"smoker": 64, "grill": 64},
        steps=(
            Step("brine", "brine", "fridge", ideal_min=60, min_min=60, max_min=240,
                 keep_below_c=5, tied=Tied.WORLD),
            Step("smoke", "smoke", "smoker", temp_c=110, ideal_min=47, until_core_c=50,
                 gap_min=2, gap_max_min=10),
            Step("sear", "sear", "grill", temp_c=280, ideal_min=9, tied=Tied.ELASTIC),
            Step("rest", "rest", "hot_box", min_min=6, ideal_min=10, max_min=30),
        ),
        hold=Hold(63, 60, "hot"),
    )  # fmt: skip
    kit = Kit(
        (
            Station("P1", StationKind.SMOKER, "P", Size(60, 45), heat_up_min=60, fuel="wood"),
            Station("G1", StationKind.GRILL, "G", Size(60, 45), heat_up_min=30, fuel="charcoal"),
            Station("hot", StationKind.HOT_BOX),
            Station("cold", StationKind.FRIDGE),
        )
    )
    party = event("19:00", 60, (MenuItem("steak", make=64), MenuItem("salad")), slack_min=21.0)
    return Cards(party, kit, CREW, (steak, SALAD))


def gas() -> Cards:
    """Two batches on a gas grill, a charcoal one beside it, a hot box."""
    cards = grills(salad=False)
    kit = Kit(
        (
            Station("gas", StationKind.GRILL, "G", Size(60, 45), heat_up_min=15, fuel="propane",
                    power_kw=12.0),
            Station("charcoal", StationKind.GRILL, "G", Size(60, 45), heat_up_min=30,
                    fuel="charcoal"),
            Station("hot", StationKind.HOT_BOX),
        )
    )  # fmt: skip
    pins = tuple(
        Pin("steak", f"L{2 * n + k + 1}", "sear", moment(f"18:{20 + 9 * n}"), station=name)
        for n in range(4) for k, name in enumerate(("gas", "charcoal"))
    )  # fmt: skip
    return replace(cards, kit=kit, event=replace(cards.event, pins=pins))


def thighs() -> Cards:
    """1,020 thighs needed, 1,116 made, 120 a load in two smokers."""
    thigh = Dish(
        "thigh",
        "Chicken thigh",
        Batch(2, "pieces"),
        portion=Batch(2, "pieces"),
        piece=Piece(0.15, 2.5, Size(14, 12), FoodClass.C),
        fits={"smoker": 120},
        ingredients=(Ingredient("thigh", qty=0.3, unit="kg", cook_yield=0.75, allergens=()),),
        steps=(Step("smoke", "smoke", "smoker", temp_c=130, ideal_min=40, until_core_c=76),),
        hold=Hold(63, 240, "hot"),
    )
    kit = Kit(
        tuple(
            Station(f"P{n}", StationKind.SMOKER, "P", Size(120, 60), heat_up_min=60) for n in (1, 2)
        )
    )
    menu = (MenuItem("thigh", make=558),)
    return Cards(event("19:00", 510, menu), kit, CREW, (thigh,))


def lanes() -> Cards:
    """Three meat lanes of 3.5 a minute; between 12:29 and 13:00 meat is asked for at 7.9."""
    meat = Dish(
        "meat",
        "Meat",
        Batch(1, "kg"),
        portion=Batch(0.15, "kg"),
        steps=(Step("slice", "slice", ideal_min=30, hands=1),),
        hold=Hold(63, 300, "hot"),
    )
    kit = Kit(tuple(Station(f"lane{n}", StationKind.LANE, "lane", per_min=3.5) for n in (1, 2, 3)))
    crew = (*CREW, Person("kim", "Kim", Role.LANE, stations=("lane3",)))
    # by hand: 7.9 a minute for 31 min is 244.9; two lanes give 7.0: 28 are left waiting at 13:00
    curve = (
        (moment("12:00"), 0.0),
        (moment("12:29"), 100.0),
        (moment("13:00"), 344.9),
        (moment("13:30"), 400.0),
    )
    row = Service(moment("12:00"), moment("13:30"), curve=curve)
    party = event("12:00", 400, (MenuItem("meat"),), serve=(row,))
    return Cards(party, kit, crew, (meat,))


def missing() -> Cards:
    """Marta owns brine, char, allergy plates and a lane; Eli and Dev are free, Carmen trained."""
    steak = Dish(
        "steak",
        "Steak",
        Batch(8, "pieces"),
        portion=Batch(1, "pieces"),
        piece=Piece(0.2, 2.5, Size(20, 12), FoodClass.A1),
        fits={"grill": 64},
        steps=(
            Step("char", "char", "grill", temp_c=280, ideal_min=20, hands=1, skill="grill",
                 before_plates_min=60),
        ),
        hold=Hold(63, 90, "hot"),
    )  # fmt: skip
    allergy = Dish(
        "allergy-plate",
        "Allergy plates",
        Batch(1, "kg"),
        portion=Batch(0.2, "kg"),
        steps=(
            Step("plate", "plate", ideal_min=15, hands=1, skill="allergy", tied=Tied.PLATES,
                 before_plates_min=20),
        ),
        hold=Hold(quality_max_min=60, safety="cold"),
    )  # fmt: skip
    kit = Kit(
        (
            Station("G1", StationKind.GRILL, "G", Size(60, 45), heat_up_min=30),
            Station("lane2", StationKind.LANE, "lane", per_min=3.0),
        )
    )
    marta = Person(
        "marta", "Marta", Role.COLD, (Lead.ALLERGY,), ("grill", "allergy"), ("es",),
        stations=("G1", "lane2"),
    )  # fmt: skip
    menu = (MenuItem("steak", make=64), MenuItem("allergy-plate", heads=4))
    carmen = replace(CREW[2], skills=("cold", "allergy"))
    crew = (CREW[0], marta, carmen, CREW[3], CREW[4])
    row = Service(moment("12:00"), moment("13:00"), per_min=3.0)
    party = event("12:00", 60, menu, serve=(row,))
    return Cards(party, kit, crew, (steak, allergy))


def delivered() -> Cards:
    """Chicken for 600, bought in cases."""
    cards = thighs()
    chicken = replace(
        cards.dishes[0],
        id="chicken",
        name="Chicken",
        ingredients=(
            Ingredient("chicken thigh", qty=0.3, unit="kg", allergens=(),
                       packs=(Pack(15, "kg", 60.0),)),
        ),
    )  # fmt: skip
    menu = (MenuItem("chicken", spare=0.0),)
    return replace(cards, dishes=(chicken,), event=replace(cards.event, heads=300, menu=menu))
