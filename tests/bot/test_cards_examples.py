"""The two events that come with the bot: cards without a mistake, scripts that can be played."""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from bot.cards import check, read_event, read_texts
from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from core.model import Cards, Lead, Moment, Step

EVENTS = {"wedding": GOLDEN_WEDDING, "harvest": HARVEST_SUPPER}
LINE = re.compile(r"(?:T([+-]\d+) )?(\d\d):(\d\d) ([^:]+): (.+)")


@pytest.fixture(scope="module", params=sorted(EVENTS))
def name(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def cards(name: str) -> Cards:
    return read_event(EVENTS[name])


def spoken(name: str) -> list[tuple[Moment, str, str]]:
    """Return the lines of a day: when, who, what."""
    lines = (EVENTS[name] / "day.txt").read_text(encoding="utf-8").splitlines()
    found = []
    for line in lines:
        if line and not line.startswith("#"):
            match = LINE.fullmatch(line)
            assert match is not None, line
            at = Moment(int(match[1] or 0), int(match[2]), int(match[3]))
            found.append((at, match[4], match[5]))
    return found


def step(cards: Cards, dish: str, name: str) -> Step:
    """Return a step that is there."""
    found = cards.dish(dish).step(name)
    assert found is not None
    return found


def test_an_example_has_no_mistake(name: str) -> None:
    assert check(EVENTS[name]) == ()
    assert set(read_texts(EVENTS[name])) >= {"event.toml", "kit.toml", "crew.toml"}


def test_a_day_is_in_order_of_time_and_spoken_by_the_crew(name: str, cards: Cards) -> None:
    said = spoken(name)
    assert [at for at, _, _ in said] == sorted(at for at, _, _ in said)
    assert {who for _, who, _ in said} <= {person.name for person in cards.crew} | {"Client"}
    for at, _, _ in said:
        cards.event.instant(at)


def test_a_phone_that_goes_off_comes_on_again(name: str) -> None:
    off: set[str] = set()
    for _, who, what in spoken(name):
        if what == "(offline)":
            off.add(who)
        elif what == "(online)":
            off.remove(who)
        else:
            assert who not in off
    assert not off


def test_somebody_answers_for_allergies_and_everybody_has_a_shift(cards: Cards) -> None:
    assert cards.leading(Lead.ALLERGY) is not None
    assert cards.leading(Lead.PIT) is not None
    assert all(person.shifts for person in cards.crew)
    assert cards.event.emergency is not None


def test_the_mains_feed_every_guest_once(cards: Cards) -> None:
    mains = [item.heads for item in cards.event.menu if item.heads is not None]
    assert sum(mains) == cards.event.heads


def test_every_step_with_hands_can_be_done_by_somebody(cards: Cards) -> None:
    for dish in cards.dishes:
        for one in dish.steps:
            able = [p for p in cards.crew if one.skill is None or one.skill in p.skills]
            assert len(able) >= one.hands, f"{dish.id} {one.id}"


# ------------------------------------------------------------------ what the wedding is about


def test_the_wedding_fills_two_racks_of_the_smoker() -> None:
    cards = read_event(GOLDEN_WEDDING)
    lamb = cards.dish("lamb-rump")
    smoker = cards.kit.matching("smoker")[0]
    (made,) = [item.make for item in cards.event.menu if item.dish == "lamb-rump"]
    assert made == smoker.racks * lamb.fits["smoker"]  # by hand: 2 x 28 = 56
    assert [pin.name for pin in cards.event.pins if pin.dish == "lamb-rump"] == ["A", "B"]


def test_the_wedding_is_carved_between_the_last_rest_and_the_platters() -> None:
    cards = read_event(GOLDEN_WEDDING)
    carve = step(cards, "lamb-rump", "carve")
    assert carve.ideal_min is not None
    assert carve.before_plates_min is not None
    carving = 56 * carve.ideal_min / carve.shared_by
    assert carving == pytest.approx(11 + 40 / 60)  # by hand: 56 x 25 s / 2 = 11 min 40 s
    assert carving <= carve.before_plates_min


def test_the_wedding_has_a_dish_without_nuts_wheat_and_celery_in_the_box() -> None:
    cards = read_event(GOLDEN_WEDDING)
    spare = next(item for item in cards.event.menu if item.on_demand)
    found = {a for x in cards.dish(spare.dish).ingredients for a in x.allergens or ()}
    assert found == {"milk"}


# ------------------------------------------------------------------ what the harvest is about


def test_the_harvest_pins_four_loads_26_minutes_apart() -> None:
    cards = read_event(HARVEST_SUPPER)
    pins = [pin for pin in cards.event.pins if pin.step == "smoke" and pin.name]
    assert [(pin.name, pin.station) for pin in pins] == [
        ("a1", "P1"),
        ("b1", "P2"),
        ("a2", "P1"),
        ("b2", "P2"),
    ]
    minutes = [pin.start.hour * 60 + pin.start.minute for pin in pins if pin.start]
    assert [b - a for a, b in pairwise(minutes)] == [26, 26, 26]


def test_a_harvest_load_of_72_is_ready_an_hour_after_it_went_on() -> None:
    cards = read_event(HARVEST_SUPPER)
    smoke, sear, rest = (step(cards, "pork-collar", x) for x in ("smoke", "sear", "rest"))
    grills = cards.kit.matching("grill")
    collar = cards.dish("pork-collar")
    assert collar.fits["smoker"] * cards.kit.matching("smoker")[0].racks == 72
    batches = -(-72 // (len(grills) * collar.fits["grill"]))
    minutes = (
        (smoke.in_wind_min or 0)
        + smoke.gap_min
        + batches * (sear.ideal_min or 0)
        + (rest.ideal_min or 0)
    )
    assert minutes == 60  # by hand: 45 + 2 + 2 x 4.5 + 4


def test_a_load_of_the_harvest_has_another_way_when_its_smoker_is_gone() -> None:
    cards = read_event(HARVEST_SUPPER)
    other = step(cards, "pork-collar", "grill-only")
    assert other.instead_of == "smoke"
    assert other.station == "grill"
    assert other.until_core_c == 63
