"""Questions of heat as they are typed, and what must stand in the answer."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from bot.cards import read_event
from core.ask import AskContext, ask
from core.model import Answer, Clock, Line, Place, Reading, Verdict
from tests.published import published

EXAMPLES = Path(__file__).parents[3] / "bot" / "examples"
NINE = datetime(2026, 6, 13, 9, tzinfo=UTC)
NOTHING = AskContext()


@pytest.fixture(scope="module")
def wedding() -> AskContext:
    return AskContext(cards=read_event(EXAMPLES / "golden_wedding"), now=NINE)


def _numbers(answer: Answer) -> dict[str, tuple[float, float | None, float | None]]:
    return {n.name: (float(n.value), n.low, n.high) for n in answer.numbers if n.unit != "time"}


def _clocks(line: Line) -> list[datetime]:
    found = []
    for value in line.fields.values():
        if isinstance(value, Clock):
            found.append(value.at)
        if isinstance(value, Line):
            found += _clocks(value)
    return found


def _said(answer: Answer) -> str:
    return " ".join(line.text for line in answer.lines)


# ------------------------------------------------------------------ the stall


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("butt stuck at 70 for 2h help", "en"),
        ("shoulder stalled 158F 2 hours", "en"),
        ("la paleta lleva 2h parada en 70", "es"),
        ("brisket on the plateau for 2h", "en"),
    ],
)
def test_a_stalled_butt_gets_a_window_to_wait_and_one_to_wrap(text: str, lang: str) -> None:
    # common practice: the stall lasts 1 to 4 h at 65 to 77 °C; wrapping shortens it
    answer = ask(text, replace(NOTHING, lang=lang))
    numbers = _numbers(answer)
    _, low, high = numbers["wait"]
    assert low is not None
    assert high is not None
    assert 2 <= low < 4 <= high <= 7
    assert numbers["wrapped"][0] < numbers["wait"][0]
    assert "No single time" in _said(answer)
    assert answer.verdict is None


def test_the_window_is_told_on_the_clock_where_there_is_one() -> None:
    answer = ask("butt stuck at 70 for 2h help", replace(NOTHING, now=NINE))
    clocks = _clocks(answer.lines[1])
    assert len(clocks) == 4
    assert all(at > NINE + timedelta(hours=2) for at in clocks)
    assert all(at.minute % 15 == 0 for at in clocks)


def test_a_butt_stuck_far_below_the_stall_is_not_called_normal() -> None:
    for text in ("butt stuck at 40 for 3h", "butt stuck at 45 for 5h help"):
        assert "Normal" not in _said(ask(text, NOTHING))


def test_chicken_has_no_stall() -> None:
    assert "Normal" not in _said(ask("chicken stuck at 70 for 2h", NOTHING))


def test_a_stall_of_six_hours_is_sent_to_the_fire() -> None:
    assert "second probe" in _said(ask("butt stuck at 70 for 6h", NOTHING))


# ------------------------------------------------------------------ thickness


# common practice: twice the thickness is about three times the time
@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("twice as thick how long", "en"),
        ("el doble de gruesa cuanto tarda", "es"),
        ("steaks 5cm instead of 2.5cm thick how long", "en"),
    ],
)
def test_twice_as_thick_takes_about_three_times_as_long(text: str, lang: str) -> None:
    times, low, high = _numbers(ask(text, replace(NOTHING, lang=lang)))["times"]
    assert times == pytest.approx(3.0, abs=0.1)
    assert low is not None
    assert high is not None
    assert low < times < high


def test_a_time_that_was_said_is_scaled_with_its_thickness() -> None:
    minutes, low, high = _numbers(ask("steak 40 min at 2.5 cm how long at 5 cm", NOTHING))["time"]
    assert minutes == pytest.approx(40 * 2**1.6, abs=1.0)  # by hand: 121 min
    assert (low or 0) < minutes < (high or 0)


def test_thinner_is_quicker() -> None:
    assert _numbers(ask("half as thick how long", NOTHING))["times"][0] == pytest.approx(
        0.33, abs=0.02
    )


def test_a_dish_of_the_cards_is_scaled_by_its_own_test(wedding: AskContext) -> None:
    answer = ask("lamb twice as thick how long", wedding)
    minutes, low, high = _numbers(answer)["time"]
    assert answer.sources[0].status == "house"
    assert 62 * 2.0 < minutes < 62 * 3.2
    assert (low or 0) < minutes < (high or 0)


def test_twice_the_dressing_is_still_a_recipe() -> None:
    assert "thick" not in _said(ask("double the dressing", NOTHING))


# ------------------------------------------------------------------ thawing


@published("USDA-derived thawing advice: steaks in one layer 45 to 75 min, else 65 min/kg in water")
@pytest.mark.parametrize(
    ("text", "lang"),
    [("meat still half frozen smoke at 11", "en"), ("la carne sigue medio congelada", "es")],
)
def test_half_frozen_meat_goes_into_cold_water(text: str, lang: str) -> None:
    answer = ask(text, replace(NOTHING, lang=lang, now=NINE))
    assert [f"{at:%H:%M}" for at in _clocks(answer.lines[0])] == ["10:15", "11:30"]
    assert _numbers(answer)["single_layer"][1:] == (45.0, 75.0)
    assert "brine" in _said(answer)
    assert "bench" in _said(answer)


@published("USDA-derived thawing advice: refrigerator 24 h for each 2 to 2.5 kg")
def test_a_turkey_takes_days_in_the_fridge() -> None:
    hours, low, high = _numbers(ask("how long to thaw 5 kg turkey", NOTHING))["fridge"]
    assert (low, high) == (48.0, 60.0)
    assert hours == 54.0


@pytest.mark.parametrize(
    "text", ["can i thaw chicken on the counter", "thaw at room temperature how long"]
)
def test_thawing_on_the_bench_is_never_given_a_time(text: str) -> None:
    answer = ask(text, NOTHING)
    assert "water" not in _numbers(answer)
    assert answer.verdict is not Verdict.OK


# ------------------------------------------------------------------ carry-over, fires, boxes


# common practice, by thickness and fire
@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("carryover 9cm roast 180C", 7.0, 9.0),
        ("carry over 5.5 cm smoker", 3.0, 4.0),
        ("cuanto sube al reposar 2.5 cm de cerdo ahumador", 1.0, 2.0),
    ],
)
def test_carry_over_by_thickness_and_fire(text: str, low: float, high: float) -> None:
    answer = ask(text, NOTHING)
    _, least, most = _numbers(answer)["rise"]
    assert least == pytest.approx(low, abs=0.1)
    assert most == pytest.approx(high, abs=0.1)
    assert "never a rise to come" in _said(answer)


def test_the_lamb_of_the_cards_needs_no_thickness_said(wedding: AskContext) -> None:
    assert "rise" in _numbers(ask("carry over lamb", wedding))


def test_a_pit_coming_up_is_told_by_its_readings(wedding: AskContext) -> None:
    readings = tuple(
        Reading(value, Place.PIT, NINE - timedelta(minutes=ago), "bo")
        for value, ago in ((109.0, 0), (103.0, 5))
    )
    answer = ask("pit back up yet", replace(wedding, readings=readings))
    assert _numbers(answer)["rate"][0] == pytest.approx(1.2)
    # by hand: 6 K at 1.2 K a minute is 5 min
    assert _clocks(answer.lines[0]) == [NINE + timedelta(minutes=5)]


def test_a_pit_that_falls_has_no_time(wedding: AskContext) -> None:
    readings = tuple(
        Reading(value, Place.PIT, NINE - timedelta(minutes=ago), "bo")
        for value, ago in ((92.0, 0), (103.0, 5))
    )
    answer = ask("pit back up yet", replace(wedding, readings=readings))
    assert _clocks(answer.lines[0]) == []
    assert "not rising" in _said(answer)


def test_without_readings_a_pit_is_asked_for() -> None:
    assert "again in 5 min" in _said(ask("pit back up yet", NOTHING))


# common practice
def test_a_cold_box_with_and_without_ice() -> None:
    with_ice = _numbers(ask("how long does the cold box stay cold", NOTHING))
    without = _numbers(ask("how long does the cold box stay cold without ice", NOTHING))
    assert with_ice["ice_on_food"][1:] == (8.0, 10.0)
    assert without["warms"][1:] == (60.0, 90.0)


def test_answers_keep_to_four_lines() -> None:
    for text in (
        "butt stuck at 70 for 2h",
        "twice as thick how long",
        "still frozen",
        "carryover 5cm",
    ):
        assert 1 <= len(ask(text, NOTHING).lines) <= 4


@published("FDA Food Code 3-501.14: 57 to 21 °C within 2 h, to 5 °C within 6 h in all")
@pytest.mark.parametrize(
    ("text", "lang", "wanted"),
    [
        ("beans 20 cm deep in the fridge cool in time", "en", "Too deep"),
        ("enfriar alubias 20 cm de fondo en la camara", "es", "Too deep"),
        ("stew 3 cm deep on ice in the fridge stirred", "en", "should make"),
        ("stew 8 cm deep on ice stirred", "en", "may miss"),
    ],
)
def test_how_deep_a_pan_may_be(text: str, lang: str, wanted: str) -> None:
    answer = ask(text, replace(NOTHING, lang=lang))
    assert wanted in _said(answer)
    assert "Only a reading clears it" in _said(answer)
    assert answer.verdict is None


# ------------------------------------------------------------------ before the sear, tempering


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("pull at what before searing 5.5cm 5 min for 56", "en"),
        ("a cuanto saco antes de sellar 5,5 cm 5 min para 56", "es"),
    ],
)
def test_a_first_pull_is_set_back_for_sear_and_rest(text: str, lang: str) -> None:
    # common practice: lamb of 5.5 cm smoked to 46, seared 5 min, rests to 55-57
    pull, low, high = _numbers(ask(text, replace(NOTHING, lang=lang)))["pull"]
    assert pull == pytest.approx(46.0, abs=1.5)
    assert low is not None
    assert high is not None
    assert low <= 46 <= high


def test_a_first_pull_takes_thickness_and_sear_from_the_card(wedding: AskContext) -> None:
    _, low, high = _numbers(ask("lamb before the sear", wedding))["set_back"]
    assert low is not None
    assert high is not None
    assert low <= 10 <= high  # the card: 46 off the smoker, 56 in the end


@pytest.mark.parametrize(
    ("text", "lang"),
    [("how long to temper 5 cm steak", "en"), ("cuanto atempero 5 cm de carne", "es")],
)
def test_tempering_is_slow_and_counts_on_the_clock(text: str, lang: str) -> None:
    answer = ask(text, replace(NOTHING, lang=lang))
    minutes, low, high = _numbers(answer)["temper"]
    assert 40 < minutes < 150  # by conduction: still air, 5 to 12 °C at the core
    assert low is not None
    assert high is not None
    assert low < minutes < high
    assert "counts" in _said(answer)


@pytest.mark.parametrize(
    "text",
    [
        "carry over 0 cm roast",
        "carry over 200 cm roast",
        "steaks 200cm instead of 2.5cm thick how long",
        "before searing 200 cm",
        "how long to temper 200 cm steak",
        "beans 200 cm deep on ice cool",
    ],
)
def test_a_size_that_cannot_be_is_refused_in_a_clear_line(text: str) -> None:
    answer = ask(text, NOTHING)
    assert "must be" in answer.lines[0].text
    assert not answer.numbers


@pytest.mark.parametrize(
    ("text", "lang"),
    [("47 at 35min when pull", "en"), ("47 a los 35 min, cuando saco", "es")],
)
def test_a_core_at_a_minute_is_told_by_the_one_card_it_fits(text: str, lang: str) -> None:
    harvest = AskContext(cards=read_event(EXAMPLES / "harvest_supper"), lang=lang)
    numbers = _numbers(ask(text, harvest))
    # the card: 50 °C after 40 min in calm, 41 after 30
    assert numbers["pull"][0] == 50.0
    assert 36 <= numbers["check_at"][0] <= 39
    minutes, low, high = numbers["pull_at"]
    assert low is not None
    assert high is not None
    assert low <= minutes <= high
    assert high - low >= 2  # one reading: never a single minute
