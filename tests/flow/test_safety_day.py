"""Safety from words to phones on the two examples: who hears what, how loud, what is on paper.

What each line must do: the trade's own list of chat lines, common practice.
"""

from __future__ import annotations

import pytest

from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from bot.rehearse import Shown
from bot.sheets import inspector_pdf
from core.cook import replay
from core.facts import CallMade, CrewOff, StopLifted, VerdictGiven
from core.model import Sound, Verdict
from tests.bot.pdftext import page_texts
from tests.flow.days import Day, played

HARVEST = """\
12:00 Lucía: trailer food 3.5
12:30 Rafa: trailer food 4 white
13:10 Pau: salad batch 1 made 13:05 with cream
13:24 Nico: nuevo tahini de otra marca
13:25 Kim: egg in the aubergine salad?
13:28 Ben: label tahini: sesame
13:29 Marisol: [1]
13:40 Rafa: dropped the white probe
13:41 Rafa: white ice 2.5
13:50 Pau: made aubergine salad 13:48
13:55 Iker: Pau vomita
14:10 Kim: shut up till 16:00
14:11 Max: 3 people dizzy in tent with charcoal 5 kg
14:12 Xavi: SOS
14:18 Jo: hot2 food 50
14:20 Marisol: lift hot2: only drinks in it
14:21 Olga: [1]
"""


@pytest.fixture(scope="module")
def day() -> Day:
    return played(HARVEST_SUPPER, HARVEST)


def after(day: Day, clock: str, room: str) -> list[Shown]:
    return [s for s in day.shown if s.room == room and day.local(s.at) == clock]


def test_after_a_swap_the_very_next_answer_is_not_confirmed(day: Day) -> None:
    (reply,) = day.replies(5)
    assert reply.message.tag is not None
    assert reply.message.tag.verdict is Verdict.NOT_CONFIRMED


def test_everybody_guests_ask_is_told_to_ask_the_chef(day: Day) -> None:
    for person in ("olga", "sol", "kim", "tara", "max", "eva"):
        told = [s.message.text for s in after(day, "13:24", f"@{person}")]
        assert any("Ask Marisol" in t or "Pregunta a Marisol" in t for t in told), person


def test_who_must_read_the_label_is_rung_and_it_ends_with_their_word(day: Day) -> None:
    rung = [s for s in day.to("ben") if s.message.sound is Sound.ALARM and "READ LABEL" in
            s.message.text]  # fmt: skip
    assert [day.local(s.at) for s in rung] == ["13:24"]
    later = [s for s in day.shown if "READ LABEL" in s.message.text and day.local(s.at) > "13:29"]
    assert later == []


def test_an_ok_whose_probe_failed_is_taken_back_to_who_read_it_and_the_chef(day: Day) -> None:
    told = [s.message.text for s in after(day, "13:40", "@marisol")]
    assert any("trailer" in text for text in told)
    given = [e.fact.finding for e in day.cook.entries if isinstance(e.fact, VerdictGiven)]
    assert any(f.about == "trailer" and f.verdict is Verdict.UNKNOWN for f in given)


def test_who_is_sick_is_on_the_chef_s_phone_and_on_no_other(day: Day) -> None:
    with_name = [s for s in day.shown if day.local(s.at) == "13:55" and "Pau" in s.message.text]
    assert {s.room for s in with_name} == {"@marisol"}
    (fact,) = [e.fact for e in day.cook.entries if isinstance(e.fact, CrewOff)]
    assert fact.person == "pau"
    later = [e for e in day.cook.entries if isinstance(e.fact, CallMade) and "pau" in
             e.fact.call.to and day.local(e.at) > "13:56"]  # fmt: skip
    assert later == []


def test_carbon_monoxide_rings_all_phones_whatever_they_muted(day: Day) -> None:
    people = {p.id for p in day.cards.crew} - {"max"}
    rung = {
        s.room.removeprefix("@")
        for s in day.shown
        if day.local(s.at) == "14:11" and s.message.sound is Sound.ALARM and s.room != "crew"
    }
    assert rung == people
    assert "kim" in rung
    assert [s for s in day.shown if day.local(s.at) == "14:11" and s.room == "crew"
            and s.message.sound is Sound.ALARM]  # fmt: skip


def test_the_card_comes_first_and_asks_nothing(day: Day) -> None:
    (reply,) = day.replies(14)
    assert "911" in reply.message.lines[0]
    assert "gate 1" in reply.message.lines[0]
    assert reply.message.choices == ()


def test_a_lift_is_two_people_and_on_the_record(day: Day) -> None:
    (lift,) = [e.fact for e in day.cook.entries if isinstance(e.fact, StopLifted)]
    assert (lift.chef, lift.second, lift.reason) == ("marisol", "olga", "only drinks in it")


def test_a_replay_gives_the_same_safety(day: Day) -> None:
    again = replay(day.cook.entries)
    assert (again.safety, again.verdicts) == (day.cook.safety, day.cook.verdicts)


@pytest.mark.parametrize("lang", ["en", "es"])
def test_all_of_it_stands_on_the_inspector_s_sheet(day: Day, lang: str) -> None:
    zone = day.cards.event.zone
    entries = day.cook.entries
    pages = page_texts(inspector_pdf(entries, day.cook, day.head, None, zone, lang))
    text = " ".join(" ".join(pages).split())
    for word in ("only drinks in it", "Marisol + Olga", "tahini", "white", "cream"):
        assert word in text, word
    checked = {"en": "2.5 °C failed", "es": "2,5 °C falla"}[lang]
    assert checked in text
    off = {"en": "one of the crew off sick", "es": "una persona del equipo enferma"}[lang]
    assert off in text
    alarm = {"en": "ALARM: carbon monoxide", "es": "ALARMA: monóxido de carbono"}[lang]
    assert alarm in text


PARKED = """\
17:10 Iker: a1 on
17:55 Teo: a1 off 50
18:05 Jo: [3]
"""


def test_parked_pork_stops_and_a_tap_bins_all_of_it() -> None:
    day = played(HARVEST_SUPPER, PARKED)
    stops = [s for s in day.shown if s.message.tag and any("/gap/stop" in k for k in
             s.message.tag.keys) and s.room.startswith("@")]  # fmt: skip
    assert day.local(stops[0].at) == "18:05"  # off 17:55 and 10 min
    assert len(stops[0].message.choices) == 3
    gone = [k for k, job in day.cook.jobs.items() if "/a1/sear" in k and job.phase == "gone"]
    assert len(gone) == 3
    assert day.cook.safety.binned


BOX = """\
11:00 Carmen: box2 food 4
12:20 Carmen: box2 food 9
"""


def test_a_warm_box_climbs_until_somebody_answers() -> None:
    day = played(GOLDEN_WEDDING, BOX)
    bins = [s for s in day.shown if s.message.tag and any("box2/bin" in k for k in
            s.message.tag.keys) and s.room.startswith("@")]  # fmt: skip
    assert day.local(bins[0].at) == "13:00"  # last good 11:00 and the house's 2 h
    assert [day.local(s.at) for s in bins] == ["13:00", "13:03"]  # backup and chef are one here
    assert len({s.room for s in bins}) == 2
    given = [e.fact.finding for e in day.cook.entries if isinstance(e.fact, VerdictGiven)]
    assert sum(f.verdict is Verdict.BIN and f.about == "box2" for f in given) == 1
