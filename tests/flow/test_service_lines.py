"""What is typed about a running cook, and what lands on the phone: both languages, one table.

Expected values are the trade's printed chat lines (common practice) within the tolerances written
beside them, unless a row says by hand. The lines are typed into rehearsed days of the examples.
"""

from __future__ import annotations

import re
from functools import cache

import pytest

from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER
from core.model import Sound
from tests.flow.days import Day, played

WEDDING = """\
09:31 Bo: light smoker
10:00 Bo: when do i light
10:01 Bo: guests 1430 when do i light
10:02 Carmen: cuándo enciendo
10:06 Bo: timer 12 min sauce
10:07 Bo: [1]
10:08 Bo: 20 min buns
10:09 Bo: timers
10:10 Bo: stop timer buns
10:11 Carmen: alarma 12 min salsa
10:12 Carmen: mis alarmas
10:13 Carmen: cancela alarma salsa
10:30 Carmen: callate hasta las 12
10:31 Bo: shut up till 1030
10:32 Bo: shut up till 11
10:33 Bo: unmute
10:34 Carmen: ya puedes hablar
10:40 Bo: who moved plates
10:41 Ana: plates 14:15
10:42 Ana: [1]
10:43 Bo: who moved plates to 1415
10:44 Carmen: quién movió los platos
10:45 Ana: undo
10:46 Bo: who moved plates
11:00 Bo: just got here what do i need 2 know
11:01 Carmen: acabo de llegar
12:08 Bo: A on
12:22 Bo: B on
12:24 Bo: what's next
12:25 Carmen: qué toca
12:26 Bo: me
13:00 Bo: A 38
13:01 Bo: cuanto le falta al cordero
13:01 Bo: how long for the lamb
13:02 Carmen: cuando aliño
13:03 Carmen: when do i dress the salad
13:14 Bo: A off 46
13:15 Bo: ok
13:16 Bo: A.1 on
13:23 Bo: A.1 off
13:24 Bo: A.2 on
13:30 Bo: A.2 off
13:31 Bo: which box first
13:32 Carmen: qué caja primero
13:40 Carmen: aliño hecho
14:00 Dev: serve
14:02 Dev: 20 out
14:04 Dev: +10 out
14:05 Carmen: van 36
14:06 Dev: 12 out
14:07 Dev: [2]
14:10 Dev: how many left
14:10 Carmen: cuántos quedan
14:11 Dev: hold service
14:12 Carmen: seguimos
14:15 Dev: restart service
14:16 Dev: seconds
14:17 Dev: salad on the line
14:18 Carmen: salsa verde en la línea
14:19 Dev: line 30 deep
14:19 Dev: cola de 30
14:20 Dev: keep or bin
14:21 Carmen: sobras
14:30 Ana: cost per plate now
14:31 Bo: cost per plate now
14:32 Bo: sos
15:40 Dev: 17 slices left from A.2
15:41 Carmen: quedan 2 kg ensalada
17:00 Ana: close cook
"""

HARVEST = """\
18:50 Olga: guests 1900 when do i light
19:00 Olga: go
19:10 Kim: lane 1b only 2/min
19:12 Olga: lane-1a 20
19:12 Olga: 6 trays of 10 to lane-2a
19:13 Max: marca 6 bandejas a la linea 2
"""

RUNNING_OUT = """\
15:10 Client: 365, perdona
15:12 Marisol: [1]
19:00 Olga: go
19:55 Olga: 210 out
19:55 Olga: 98 collar left
19:55 Olga: 14 portobello left
19:55 Marisol: cuantos quedan
19:55 Olga: how many left
19:56 Marisol: ración 110 g
19:57 Olga: line 30 deep
19:58 Eva: cola de 30
"""

SCRIPTS = {"w": WEDDING, "h": HARVEST, "out": RUNNING_OUT}


@cache
def day_of(event: str) -> Day:
    folder = GOLDEN_WEDDING if event == "w" else HARVEST_SUPPER
    return played(folder, SCRIPTS[event])


def said(event: str, clock_and_words: str) -> tuple[str, tuple[str, ...]]:
    """Return what answered a line of the script, and its choices."""
    number = SCRIPTS[event].splitlines().index(clock_and_words) + 1
    replies = day_of(event).replies(number)
    assert len(replies) == 1, [r.message.text for r in replies]
    return replies[0].message.text, replies[0].message.choices


LINES = [
    # T1: the light of each fire, and the sum behind it
    ("w", "10:00 Bo: when do i light", r"Plates 14:00 → light grill 12:25"),
    ("w", "10:01 Bo: guests 1430 when do i light", r"14:30 → light grill 12:55(.|\n)*Nothing"),
    ("w", "10:02 Carmen: cuándo enciendo", r"Platos 14:00 → enciende grill 12:25"),
    # T12: with a name, only to the asker, offered to cold
    ("w", "10:06 Bo: timer 12 min sauce", r"sauce, 12 min → 10:18, only you"),
    ("w", "10:07 Bo: [1]", r"sauce 10:18: Carmen hears it too"),
    ("w", "10:09 Bo: timers", r"sauce 10:18, in 9 min\.\nbuns 10:28"),
    ("w", "10:10 Bo: stop timer buns", r"buns 10:28 stopped"),
    ("w", "10:11 Carmen: alarma 12 min salsa", r"salsa, 12 min → 10:23, solo tú"),
    ("w", "10:12 Carmen: mis alarmas", r"salsa 10:23, en 11 min"),
    ("w", "10:13 Carmen: cancela alarma salsa", r"salsa 10:23 parada"),
    # C4: until when, and what still comes
    ("w", "10:30 Carmen: callate hasta las 12",
     r"Callado contigo hasta 12:00\.\nAún te llegan: seguridad y lo que solo tú puedes hacer"),
    ("w", "10:32 Bo: shut up till 11", r"Quiet with you until 11:00"),
    ("w", "10:33 Bo: unmute", r"On again"),
    ("w", "10:34 Carmen: ya puedes hablar", r"Otra vez contigo"),
    # C3: who, when, why, what it was before
    ("w", "10:40 Bo: who moved plates", r"Nobody: plates as first planned"),
    ("w", "10:43 Bo: who moved plates to 1415",
     r"Chef \(Ana\) 10:42: plates 14:00 → 14:15\.\nBefore: 14:00"),
    ("w", "10:44 Carmen: quién movió los platos", r"Chef \(Ana\) 10:42(.|\n)*Antes: 14:00"),
    # C1: says what it undid, what plan is back, that the crew was told
    ("w", "10:45 Ana: undo", r"Undid: plates 14:15 → 14:00 \(Ana, 10:42\)\.\nPlan A is back"),
    ("w", "10:46 Bo: who moved plates", r"Nobody"),
    # C5: plates, now, you, allergies, at most five lines
    ("w", "11:00 Bo: just got here what do i need 2 know",
     r"Plates 14:00, now 11:00.*Nothing late(.|\n)*You: .*\nAllergies: ask Carmen"),
    ("w", "11:01 Carmen: acabo de llegar", r"Platos 14:00, ahora 11:01(.|\n)*Tú: "),
    # T5: two things and 'You:'
    ("w", "12:24 Bo: what's next", r"^1\. .*\n2\. .*\nYou: "),
    ("w", "12:25 Carmen: qué toca", r"^1\. .*\n2\. .*\nTú: "),
    # T4: the next look of each load, the core to pull at, plates
    ("w", "13:01 Bo: cuanto le falta al cordero", r"38 °C, saca a 46 °C: .*13:1\d"),
    ("w", "13:01 Bo: how long for the lamb", r"38 °C, pull at 46 °C: .*13:1\d"),
    # T11: not yet, when, how long before plates
    ("w", "13:02 Carmen: cuando aliño", r"Todavía no\. .* a las 13:30, 30 min antes"),
    ("w", "13:03 Carmen: when do i dress the salad", r"Not yet\. .* at 13:30, 30 min before"),
    # C2: what 'ok' was taken for
    ("w", "13:15 Bo: ok", r"Took that as: |Which one"),
    # the oldest box that is still good, by its letter
    ("w", "13:31 Bo: which box first", r"lamb rump A first: 28 pcs, off 13:30, good to 13:45"),
    ("w", "13:32 Carmen: qué caja primero", r"lamb rump A primero: 28 uds"),
    # counts, in all and more; fewer than before is asked
    ("w", "14:02 Dev: 20 out", r"20 plates out, 14:00-14:02"),
    ("w", "14:04 Dev: +10 out", r"30 plates out(.|\n)*7\.5/min, plan 6"),  # by hand: 30 in 4 min
    ("w", "14:05 Carmen: van 36", r"36 platos fuera"),
    ("w", "14:06 Dev: 12 out", r"12: more, or in all\? 36 were counted"),
    ("w", "14:07 Dev: [2]", r"12 plates out"),
    ("w", "14:10 Dev: how many left", r"54 plates left \(about Lamb rump 46, Celeriac steak 8\)"),
    ("w", "14:10 Carmen: cuántos quedan", r"Quedan 54 platos"),
    # hold and restart: who may, what runs on
    ("w", "14:11 Dev: hold service", r"HOLD 14:11: held\. Nothing goes out\.\nLids on.*Clocks"),
    ("w", "14:12 Carmen: seguimos", r"(?i)Ana / Dev"),
    ("w", "14:15 Dev: restart service", r"GO 14:15\. Held 4 min"),
    # by hand: 280 slices, 52 eat 5 each
    ("w", "14:16 Dev: seconds", r"20 slices of Lamb rump for seconds\.\n6 tables: 3 each"),
    # hot and cold clocks of what stands out: house 2 h
    ("w", "14:17 Dev: salad on the line", r"on the line 14:17(.|\n)*by 1[56]:\d\d"),
    ("w", "14:18 Carmen: salsa verde en la línea", r"¿Qué plato"),
    ("w", "14:19 Dev: line 30 deep", r"Wait \d+ min"),
    ("w", "14:19 Dev: cola de 30", r"Espera \d+ min|Wait \d+ min"),
    ("w", "14:20 Dev: keep or bin", r"by 1[56]:\d\d"),
    ("w", "14:21 Carmen: sobras", r"1[56]:\d\d"),
    # C8: the chef alone sees money
    ("w", "14:30 Ana: cost per plate now", r"^\d\.\d\d GBP a plate"),
    ("w", "14:31 Bo: cost per plate now", r"Only the chef"),
    ("w", "14:32 Bo: sos", r"^(STOP|CALL|.*999)"),
    # what is left: by its clock, not by looks (pink lamb: one 2 h period from off the fire)
    ("w", "15:40 Dev: 17 slices left from A.2", r"^BIN(.|\n)*Clock from 13:30"),  # 15:30 by hand
    ("w", "15:41 Carmen: quedan 2 kg ensalada", r"antes de las 16:17"),
    # harvest: lanes, trays, running out
    ("h", "19:10 Kim: lane 1b only 2/min", r"lane-1b 2/min, plan 3\.\nSauce and bread"),
    ("h", "19:12 Olga: lane-1a 20", r"lane-1a: 20 plates\. In all 20 plates"),
    ("h", "19:12 Olga: 6 trays of 10 to lane-2a", r"lane-2a: \+6 trays \(60 plates\) 19:12"),
    ("h", "19:13 Max: marca 6 bandejas a la linea 2", r"\+6 bandejas \(60 platos\) 19:13"),
    # C6: 210 in 55 min, 3.8/min; 112 left (98 + 14) → 20:24 ±2
    ("out", "19:55 Olga: how many left",
     r"112 plates left \(Pork collar 98, .* 14\)\.\n210 in 55 min, 3\.8/min → out 20:2[2-6]"),
    ("out", "19:55 Marisol: cuantos quedan", r"Quedan 112 platos(.|\n)*se acaba 20:2\d"),
    ("out", "19:57 Olga: line 30 deep", r"plan 6\. Wait \d+ min\.\nFix: sauce and bread"),
    ("out", "19:58 Eva: cola de 30", r"Espera \d+ min"),
]  # fmt: skip


@pytest.mark.parametrize(("event", "line", "wanted"), LINES, ids=[f"{e} {x}" for e, x, _ in LINES])
def test_a_printed_line_is_answered(event: str, line: str, wanted: str) -> None:
    text, _ = said(event, line)
    assert re.search(wanted, text), text


@pytest.mark.parametrize(("event", "line"), [(e, x) for e, x, _ in LINES])
def test_an_answer_has_at_most_four_lines_and_four_choices(event: str, line: str) -> None:
    text, choices = said(event, line)
    most = 5 if "just got here" in line or "acabo de llegar" in line else 4
    assert len(text.splitlines()) <= most + bool(choices)
    assert len(choices) <= 4


def test_a_timer_rings_its_owner_and_whom_it_was_shared_with_and_never_the_room() -> None:
    day = day_of("w")
    rung = [
        s for s in day.shown if "TIMER sauce" in s.message.text or "ALARMA sauce" in s.message.text
    ]
    assert sorted(s.room for s in rung) == ["@bo", "@carmen"]
    assert {day.local(s.at) for s in rung} == {"10:18"}
    assert all(s.message.sound is Sound.ONCE for s in rung)


def test_a_stopped_timer_is_silent() -> None:
    assert not [s for s in day_of("w").shown if "TIMER buns" in s.message.text]


def test_a_hold_is_one_push_to_all_and_so_is_the_restart() -> None:
    day = day_of("w")
    for words in ("HOLD 14:11", "GO 14:15"):
        rung = [s for s in day.shown if words in s.message.text and s.message.sound]
        assert [(s.room, s.message.sound) for s in rung] == [("crew", Sound.ONCE)]


def test_the_room_hears_of_a_smaller_portion_once() -> None:
    day = day_of("out")
    told = [s for s in day.shown if "110 g a plate" in s.message.text and s.room == "crew"]
    assert [s.message.sound for s in told] == [Sound.ONCE]


def test_running_out_is_told_by_itself_to_front_and_chef_a_quarter_of_an_hour_before() -> None:
    day = day_of("out")
    warned = [s for s in day.shown if re.search("RUNNING OUT|SE ACABA", s.message.text)]
    people = sorted(s.room for s in warned if s.room != "crew")
    assert people == ["@marisol", "@olga"]
    # by hand: 210 in 55 min, 146 plates at 110 g → 38 min more → 20:33, so 20:18 ±2
    assert {day.local(s.at) for s in warned} <= {"20:16", "20:17", "20:18", "20:19", "20:20"}


def test_a_close_names_what_still_stands_out_and_posts_the_head_of_the_chain() -> None:
    text, _ = said("w", "17:00 Ana: close cook")
    closed, *out = text.split("\n")
    assert closed == "Closed 17:00."
    assert [line.split(".")[0] for line in out] == ["Lamb rump: BIN", "Leek and potato salad: BIN"]
    day = day_of("w")
    posted = [s for s in day.shown if s.room == "crew" and day.local(s.at) == "17:00"]
    assert [s.message.lines[0].startswith("Log to #") for s in posted][-1:] == [True]
    assert day.cook.closed


def test_undo_of_plates_is_told_to_the_room_that_was_told() -> None:
    day = day_of("w")
    told = [s for s in day.shown if s.room == "crew" and "Undid: plates" in s.message.text]
    assert [s.message.sound for s in told] == [Sound.ONCE]


@pytest.mark.parametrize("event", ["w", "h", "out"])
def test_every_line_of_a_push_fits_a_lock_screen(event: str) -> None:
    day = day_of(event)
    pushes = [
        s for s in day.shown
        if s.message.sound and s.message.tag and s.message.tag.kind == "call"
        and any(re.search(r"/(?:start|end|tick|check|flip|limit)|timer/|digest/|service/", key)
                for key in s.message.tag.keys)
    ]  # fmt: skip
    assert pushes
    assert [line for s in pushes for line in s.message.lines if len(line) > 90] == []
