"""What goes wrong at the harvest supper: who was told what, when, how loud, and who was not.

Expected: the printed script of the harvest's day (common practice), within its tolerances.
"""

from __future__ import annotations

from functools import cache

import pytest

from bot.examples import HARVEST_SUPPER
from core.facts import PlanAdopted
from core.facts.slips import LoadMoving, StationDown
from core.model import Plan, Sound
from tests.flow.days import Day, example_day, played
from tests.published import published

DAY = "common practice: a harvest supper's day"
SCRIPT = (HARVEST_SUPPER / "day.txt").read_text("utf-8").splitlines()

SILENT_CHEF = """\
15:31 Teo: light P1
15:32 Iker: light P2
17:10 Teo: a1 on
17:12 Rafa: light G1
17:13 Jo: light G2
17:36 Iker: b1 on
17:55 Teo: a1 off 50
18:02 Teo: a2 on
18:09 Iker: P1 down
18:12 Teo: [2]
18:22 Teo: [3]
18:23 Teo: [1]
"""


@pytest.fixture(scope="module")
def day() -> Day:
    return example_day(HARVEST_SUPPER)


@cache
def silent() -> Day:
    return played(HARVEST_SUPPER, SILENT_CHEF)


def rung_at(day: Day, clock: str) -> dict[str, list[str]]:
    """Return what rang at a minute, by room, without the calls of the plan itself."""
    found: dict[str, list[str]] = {}
    for shown in day.shown:
        own = shown.key.startswith("c:") and "/move" not in shown.key
        loud = shown.message.sound is not Sound.SILENT and not own
        today = day.cards.event.local(shown.at).date() == day.cards.event.day
        if loud and today and day.local(shown.at) == clock:
            found.setdefault(shown.room, []).append(shown.message.text)
    return found


def answer(day: Day, words: str) -> str:
    number = next(n for n, text in enumerate(SCRIPT, start=1) if text.endswith(words))
    (reply,) = day.replies(number)
    return reply.message.text


def plan_at(day: Day, clock: str) -> Plan:
    adopted = [(day.local(e.at), e.fact.plan) for e in day.cook.entries
               if isinstance(e.fact, PlanAdopted)]  # fmt: skip
    return next(plan for at, plan in adopted if at == clock)


# ------------------------------------------------------------------ 45 more at 15:10


@published(
    DAY + ": meat 321 of 348, 110 g dry salt on the 48 plain; veg 44 of 44, no spare; salad 166 g; "
    "sauce 38.6 g; one extra load; last firsts 20:01"
)
def test_forty_five_more_is_a_table_for_marisol_alone(day: Day) -> None:
    rung = rung_at(day, "15:10")
    assert set(rung) == {"@marisol"}
    (table,) = rung["@marisol"]
    for words in ("321 de 348", "48 sin salmuera", "110 g", "44 de 44, sin repuesto",
                  "166 g", "38,6 g", "33 uds.", "20:01"):  # fmt: skip
        assert words in table


@published(DAY + ": 'crew: 365. Extra load a3 18:54. Scoops level.'; Nuria salts the plain ones")
def test_after_the_tap_the_crew_hears_it_and_nuria_what_to_salt(day: Day) -> None:
    rung = rung_at(day, "15:12")
    assert set(rung) == {"crew", "@nuria"}
    assert any("365 heads now. Extra load a3 18:" in text for text in rung["crew"])
    assert any("Scoops level." in text for text in rung["crew"])
    (salt,) = rung["@nuria"]
    assert "110 g" in salt


def test_the_extra_load_is_33_and_only_after_the_tap(day: Day) -> None:
    plan = plan_at(day, "15:12")
    assert [x.count for x in plan.loads if x.number == "L5"] == [33]
    assert plan.letter == "B"


# ------------------------------------------------------------------ gusts, a server missing


@published(DAY + ": 16:20 gust forecast: firebox doors leeward now; Teo")
def test_gusts_to_come_turn_teo_s_doors_and_leave_the_smoke_as_it_is(day: Day) -> None:
    assert "plates 19:00 hold" in answer(day, "Olga: gusts 45 from 18:30")
    rung = rung_at(day, "16:20")
    assert set(rung) == {"@teo"}


@published(DAY + ": 17:20 a server's car broke down: Olga decides who covers; nobody else hears")
def test_a_missing_server_is_olga_s_to_cover(day: Day) -> None:
    text = answer(day, "Olga: server 3 coche roto")
    assert "18:45" in text  # the lane she opens
    assert set(rung_at(day, "17:20")) <= {"@marisol"}


# ------------------------------------------------------------------ the hinge of P1


@published(DAY + ": P1 is out; a2 stays shut, to P2 at 18:24, off about 18:50; two options")
def test_the_hinge_says_where_a2_goes_and_when_it_is_off(day: Day) -> None:
    text = answer(day, "Teo: P1 down, firebox hinge")
    assert text.startswith("P1 out: plates 19:00")
    assert "a2 stays shut, → P2 18:24" in text
    moving = next(e.fact for e in day.cook.entries if isinstance(e.fact, LoadMoving))
    assert day.local(moving.at) == "18:24"
    expected = day.cards.event.instant(type(day.cards.event.serve[0].start)(0, 18, 50))
    assert abs((moving.end - expected).total_seconds()) <= 180


@published(DAY + ": Marisol gets options with effect and picks")
def test_marisol_alone_is_asked_with_the_effect_of_each_choice(day: Day) -> None:
    rung = rung_at(day, "18:09")
    assert set(rung) == {"@marisol"}
    question = next(s for s in day.to("marisol") if day.local(s.at) == "18:09")
    assert 2 <= len(question.message.choices) <= 4
    assert "b2: parrilla en vez de ahumado" in question.message.choices[0]
    assert "19:00" in question.message.choices[0]


@published(DAY + ": Teo, Iker, Jo each get one line; b2 is grilled only, a2 goes to P2")
def test_after_her_tap_those_concerned_get_one_line_each_and_nobody_else(day: Day) -> None:
    rung = rung_at(day, "18:10")
    assert {"@teo", "@iker", "@jo"} <= set(rung)
    assert all(len(texts) == 1 and "\n" not in texts[0] for texts in rung.values())
    cold_front = {"@lucia", "@pau", "@ben", "@olga", "@sol", "@kim", "@tara", "@nico", "@max",
                  "@eva", "@xavi", "@nuria", "crew"}  # fmt: skip
    assert not cold_front & set(rung)  # plates did not move: the salad is dressed at 18:15
    plan = plan_at(day, "18:10")
    b2 = next(x for x in plan.loads if x.name == "b2")
    assert "grill-only" in {run.step for run in b2.runs}


def test_plates_and_the_dressing_stand(day: Day) -> None:
    before, after = plan_at(day, "15:12"), plan_at(day, "18:10")
    assert before.plates_at == after.plates_at
    dress = [[t.start for t in p.tasks if t.do == "dress"] for p in (before, after)]
    assert dress[0] == dress[1]


# ------------------------------------------------------------------ ember, rain


@published(DAY + ": ember on tarp: stop, wet, fold sides; no food effect; all, sound")
def test_an_ember_rings_everybody(day: Day) -> None:
    assert "STOP" in answer(day, "Xavi: ember on the tarp")
    assert any("STOP" in text for text in rung_at(day, "18:35")["crew"])


@published(DAY + ": rain: lids, boards under roof; pits stay out of the tent; all")
def test_rain_rings_everybody_with_the_fire_outside_the_tent(day: Day) -> None:
    answer(day, "Olga: rain")
    assert any("CO" in text for text in rung_at(day, "19:25")["crew"])


# ------------------------------------------------------------------ a silent chef


@published(
    "crews' rule sheet, common practice: chef silent 10 min, the pit lead acts in his column"
)
def test_a_silent_chef_hands_the_question_to_the_pit_lead() -> None:
    day = silent()
    handed = [s for s in day.rung("teo") if "Chef silent 10 min" in s.message.text]
    assert [day.local(s.at) for s in handed] == ["18:19"]
    assert "grill instead of smoke" in handed[0].message.choices[0]


def test_before_that_it_is_not_his_and_after_it_the_plan_notes_who_acted() -> None:
    day = silent()
    before = [s for s in day.to("teo") if day.local(s.at) == "18:12"]
    assert not any("PLAN" in s.message.text for s in before)
    acted = [e for e in day.cook.entries if isinstance(e.fact, PlanAdopted)][1:]
    assert [(e.by, day.local(e.at)) for e in acted] == [("teo", "18:23")]
    fact = acted[0].fact
    assert isinstance(fact, PlanAdopted)
    assert "chef silent" in fact.reason.text


def test_being_handed_the_question_gives_no_right_to_move_plates() -> None:
    day = silent()
    (refused,) = [s for s in day.to("teo") if day.local(s.at) == "18:22" and s.key[0] != "c"]
    assert "Ask Marisol" in refused.message.text


def test_a_report_before_the_tap_moves_nothing_off_its_fire() -> None:
    day = played(
        HARVEST_SUPPER, SILENT_CHEF.split("18:12", maxsplit=1)[0] + "18:21 Iker: b1 off 50\n"
    )
    assert day.cook.plan is not None
    assert any(isinstance(e.fact, StationDown) for e in day.cook.entries)
    assert {x.name: x.station for x in day.cook.plan.loads}["b2"] == "P2"
    assert day.cook.plan.letter == "A"
