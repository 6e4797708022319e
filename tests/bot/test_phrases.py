"""What a greasy thumb types, and what is made of it. Source: trade word list, common practice."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.phrases import Asked, Ear, Heard, Nothing, Queried, Unclear, Wished, parse
from bot.render import render
from core.facts import (
    AnswerCall,
    ChangeHeads,
    Choose,
    CloseCook,
    GiveReading,
    MovePlates,
    Mute,
    RaiseAlarm,
    Report,
    ReportStep,
    RunLate,
    Undo,
    Wish,
)
from core.model import Place
from tests.bot.ears import HARVEST, NOW, STRANGE, WEDDING
from tests.published import published

START, DONE = Report.START, Report.DONE


def wish(text: str, ear: Ear = WEDDING) -> Wish:
    heard = parse(text, ear)
    assert isinstance(heard, Wished), f"{text}: {heard}"
    assert len(heard.wishes) == 1
    return heard.wishes[0]


def clock(heard: Heard, ear: Ear = WEDDING) -> str:
    assert isinstance(heard, Wished)
    return f"{heard.at.astimezone(ear.zone):%H:%M}" if heard.at else ""


@published("trade word list, common practice: on and off in two languages")
@pytest.mark.parametrize("text", ["A off", "A out", "A fuera", "A sacado", "A pulled", "rack A off",
                                  "bandeja A fuera", "A OFF", "a off", "load A is off",
                                  "A off ffs", "off A", "A just came off 🔥", "took A off",
                                  "@ana A off", "bo: A off", "A off 👍",
                                  "A is off, looks great"])  # fmt: skip
def test_every_word_for_off_is_off(text: str) -> None:
    assert wish(text) == ReportStep("A", "off", DONE)


@published("trade word list, common practice: on and off in two languages")
@pytest.mark.parametrize("text", ["A on", "A in", "A dentro", "A metido", "on A", "A ON"])
def test_every_word_for_on_is_on(text: str) -> None:
    assert wish(text) == ReportStep("A", "on", START)


@published("trade word list, common practice: load by station or number")
@pytest.mark.parametrize("text", ["load 2 off", "2nd rack off", "lote2 fuera", "la segunda fuera",
                                  "tanda 2 fuera", "rack 2 out"])  # fmt: skip
def test_a_load_may_be_called_by_its_number(text: str) -> None:
    assert wish(text) == ReportStep("2", "off", DONE)


@published("trade word list, common practice: an ok answers the newest open call")
@pytest.mark.parametrize("text", ["done", "ok", "oido", "oído", "va", "hecho", "👍", "👍🏽", "OK",
                                  "Vale", "heard", "listo", "ok chef"])  # fmt: skip
def test_an_ok_answers_the_newest_call(text: str) -> None:
    assert wish(text) == AnswerCall()


@pytest.mark.parametrize(("text", "number"), [("[2]", 2), ("2", 2), (" [ 1 ] ", 1), ("[10]", 10)])
def test_a_number_alone_is_a_tap(text: str, number: int) -> None:
    assert wish(text) == Choose(number)


@published("trade word list, common practice: change by and change to")
@pytest.mark.parametrize(
    ("text", "heads"),
    [
        ("+40", 360),
        ("40 mas", 360),
        ("40 more", 360),
        ("-5", 315),
        ("minus 5", 315),
        ("now 360", 360),
        ("somos 360", 360),
        ("360 people", 360),
        ("we are 360", 360),
        ("365, perdona", 365),
        ("+20", 340),
        ("+40 people", 360),
        ("40 more guests", 360),
        ("1.200 pax", 1200),
        ("heads 365", 365),
    ],
)
def test_a_change_of_heads_is_made_a_total(text: str, heads: int) -> None:
    assert wish(text) == ChangeHeads(heads)


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("+8 coming, 2 veggie", ChangeHeads(328, {"vegetarian": 2}, more=True)),
        ("+8, 2 veggie 6 meat", ChangeHeads(328, {"vegetarian": 2, "meat": 6}, more=True)),
        ("somos 360, 45 veganos", ChangeHeads(360, {"vegetarian": 45})),
    ],
)
def test_who_eats_what_may_come_with_the_count(text: str, made: ChangeHeads) -> None:
    assert wish(text) == made


def test_a_change_by_is_asked_about_while_nobody_knows_how_many_there_are() -> None:
    assert isinstance(parse("+40", replace(WEDDING, heads=None)), Unclear)


@pytest.mark.parametrize("text", ["plates 1815", "plates at 18:15", "platos a las 18:15",
                                  "plates 6:15", "plates 18.15", "plates at 6:15pm",
                                  "platos 18h15"])  # fmt: skip
def test_plates_move_to_the_time_nearest_to_where_they_are(text: str) -> None:
    moved = wish(text)
    assert isinstance(moved, MovePlates)
    assert moved.at == datetime(2026, 6, 13, 17, 15, tzinfo=UTC)  # by hand: 18:15 BST


def test_plates_may_move_by_minutes() -> None:
    assert WEDDING.plates_at is not None
    later = WEDDING.plates_at + timedelta(minutes=10)
    assert wish("plates +10 min") == MovePlates(later)
    assert wish("plates 10 min later".replace("later", "late")) == MovePlates(later)


@pytest.mark.parametrize(
    ("text", "minutes", "subject"),
    [
        ("runing 25 late", 25, ""),
        ("vamos 25 tarde", 25, ""),
        ("25 min mas tarde", 25, ""),
        ("A 4 min late", 4, "A"),
        ("+5 min", 5, ""),
        ("1h30 late", 90, ""),
    ],
)
def test_late_is_in_minutes_and_of_something(text: str, minutes: float, subject: str) -> None:
    assert wish(text) == RunLate(minutes, subject)


def test_late_without_minutes_is_asked_about() -> None:
    assert isinstance(parse("running late", WEDDING), Unclear)


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("18:02 load on", "18:02"),
        ("1802 A on", "18:02"),
        ("6:02 A on", "18:02"),
        ("A on at 18:02", "18:02"),
        ("ticked 17:11 A on as 17:08", "17:08"),
        ("A off 5 min ago", "18:04"),
        ("pulled 5 min ago", "18:04"),
        ("A fuera hace 5 min", "18:04"),
        ("A off just now", "18:09"),
        ("A on", ""),
    ],
)
def test_a_past_time_is_when_it_happened(text: str, at: str) -> None:
    assert clock(parse(text, WEDDING)) == at


@published("trade word list, common practice: 165 and 108 as a core are °F")
@pytest.mark.parametrize(
    ("text", "core_c"),
    [("A off 46", 46), ("rack A off 46", 46), ("A off 115", 46.1), ("A off 46C", 46),
     ("A fuera 46,5", 46.5), ("off 51", 51), ("A off 108", 42.2)],
)  # fmt: skip
def test_off_may_carry_the_core(text: str, core_c: float) -> None:
    report = wish(text)
    assert isinstance(report, ReportStep)
    assert report.report is DONE
    assert report.core_c == pytest.approx(core_c, abs=0.05)


@pytest.mark.parametrize(
    ("text", "about", "place", "value"),
    [
        ("A 38", "A", Place.CORE, 38),
        ("A.1 52", "A.1", Place.CORE, 52),
        ("bandeja A 38", "A", Place.CORE, 38),
        ("A 38 °C", "A", Place.CORE, 38),
        ("A 100F", "A", Place.CORE, 37.8),
        ("A core 38", "A", Place.CORE, 38),
        ("box 3 6.5", "box3", Place.AIR, 6.5),
        ("caja 2 marca 7", "box2", Place.AIR, 7),
        ("caja 2 comida 4,6", "box2", Place.TUB, 4.6),
        ("hot 1 71", "hot1", Place.AIR, 71),
        ("pit 92", "smoker", Place.PIT, 92),
        ("pit 225", "smoker", Place.PIT, 107.2),
        ("grill 225", "grill", Place.PIT, 225),
        ("lamb 38", "lamb-rump", Place.CORE, 38),
        ("cordero 38", "lamb-rump", Place.CORE, 38),
        ("core 47", "", Place.CORE, 47),
        ("tub 2 4.5", "tub2", Place.TUB, 4.5),
    ],
)
def test_a_reading_knows_what_it_is_of_and_where(
    text: str, about: str, place: Place, value: float
) -> None:
    given = wish(text)
    assert isinstance(given, GiveReading)
    reading = given.reading
    assert (reading.about, reading.place, reading.who) == (about, place, "bo")
    assert reading.value == pytest.approx(value, abs=0.05)


def test_a_reading_keeps_the_time_it_was_taken() -> None:
    given = wish("18:02 A 38")
    assert isinstance(given, GiveReading)
    assert given.reading.at == NOW - timedelta(minutes=7)


@pytest.mark.parametrize(
    ("text", "report"),
    [
        ("light smoker", ReportStep("smoker", "light", START)),
        ("enciende ahumador", ReportStep("smoker", "light", START)),
        ("light pit", ReportStep("smoker", "light", START)),
        ("flip A", ReportStep("A", "flip", DONE)),
        ("da la vuelta A", ReportStep("A", "flip", DONE)),
        ("flip load 3", ReportStep("3", "flip", DONE)),
        ("pull A", ReportStep("A", "pull", DONE)),
        ("sear A.1", ReportStep("A.1", "sear", START)),
        ("sera A.1", ReportStep("A.1", "sear", START)),
        ("A.1 seared", ReportStep("A.1", "sear", DONE)),
        ("rest A", ReportStep("A", "rest", START)),
        ("carve A", ReportStep("A", "slice", START)),
        ("aliño hecho", ReportStep("", "dress", DONE)),
        ("ensalada aliñada", ReportStep("leek-potato-salad", "dress", DONE)),
        ("A done", ReportStep("A", "done", DONE)),
        ("serve", ReportStep("", "serve", START)),
        ("A.1 on grill", ReportStep("A.1", "on", START, None, "grill")),
        ("bin lamb", ReportStep("lamb-rump", "bin", Report.DISCARD)),
        ("bin 6 of A", ReportStep("A", "bin", Report.DISCARD, 6)),
        ("tirar ensalada", ReportStep("leek-potato-salad", "bin", Report.DISCARD)),
    ],
)
def test_each_verb_of_the_trade_makes_its_report(text: str, report: ReportStep) -> None:
    assert wish(text) == report


def test_food_named_before_a_fire_has_moved_there() -> None:
    moved = ReportStep("a2", "", Report.MOVE, None, "P2")
    assert wish("a2 P2", HARVEST) == moved
    assert wish("move a2 to P2", HARVEST) == moved


def test_two_reports_in_one_line_are_two() -> None:
    heard = parse("A off 46, B on", WEDDING)
    assert isinstance(heard, Wished)
    assert heard.wishes == (ReportStep("A", "off", DONE, core_c=46), ReportStep("B", "on", START))


@pytest.mark.parametrize("text", ["A and B off", "A y B fuera", "A, B off", "off A B"])
def test_every_load_that_is_named_is_reported(text: str) -> None:
    heard = parse(text, WEDDING)
    assert isinstance(heard, Wished)
    assert heard.wishes == (ReportStep("A", "off", DONE), ReportStep("B", "off", DONE))


def test_loads_binned_together_are_binned_each() -> None:
    heard = parse("bin A and B", WEDDING)
    assert isinstance(heard, Wished)
    assert [w.subject for w in heard.wishes if isinstance(w, ReportStep)] == ["A", "B"]
    assert isinstance(parse("bin 6 of A and B", WEDDING), Unclear)


def test_one_tub_is_not_every_tub() -> None:
    assert wish("tub 1 of brine out") == ReportStep("tub1", "off", DONE)
    assert wish("brine out 2 tubs") == ReportStep("brine", "", DONE, 2)


@pytest.mark.parametrize(
    "text", ["all off", "todo fuera", "both off", "2 racks off", "fire table 4"]
)
def test_what_names_no_load_ticks_none(text: str) -> None:
    assert not isinstance(parse(text, WEDDING), Wished)


def test_a_small_change_may_be_minutes_and_is_asked_about() -> None:
    assert isinstance(parse("+5", WEDDING), Unclear)
    assert wish("+5 people") == ChangeHeads(325)
    assert wish("+5 min") == RunLate(5)


def test_far_too_few_people_may_be_a_core_and_is_asked_about() -> None:
    assert isinstance(parse("now 47", WEDDING), Unclear)
    assert wish("somos 47 pax") == ChangeHeads(47)


@pytest.mark.parametrize("text", ["we'll be 25 late", "plates 25 min later"])
def test_being_late_is_told_ahead(text: str) -> None:
    heard = parse(text, WEDDING)
    assert isinstance(heard, Wished)


def test_a_slash_name_with_a_number_is_about_that_load() -> None:
    assert wish("/done 2") == ReportStep("2", "done", DONE)
    assert wish("/2") == Choose(2)


def test_a_dish_with_ok_behind_it_asks_for_a_verdict() -> None:
    assert parse("lamb 61 ok", WEDDING) == Asked("lamb 61 ok")


def test_a_step_may_be_called_by_its_name() -> None:
    assert wish("brine on") == ReportStep("brine", "", START)
    assert wish("salmuera fuera") == ReportStep("brine", "", DONE)


def test_four_of_five_leaves_the_fifth_open() -> None:
    assert wish("4/5 fuera", HARVEST) == ReportStep("brine", "", DONE, 4)
    four = frozenset(f"pork-collar/brine/{n}" for n in (1, 2, 3, 4))
    later = replace(HARVEST, over=four, running=HARVEST.running - four)
    assert wish("5/5 fuera", later) == ReportStep("brine", "", DONE, 1)


def test_a_part_of_what_nobody_has_is_asked_about() -> None:
    assert isinstance(parse("4/7 fuera", HARVEST), Unclear)


@pytest.mark.parametrize("text", ["undo", "deshacer", "UNDO", "undo that"])
def test_undo_takes_back(text: str) -> None:
    assert wish(text) == Undo()


def test_a_cook_is_closed_only_by_saying_so() -> None:
    assert wish("close cook") == CloseCook()
    assert not isinstance(parse("close the lid", WEDDING), Wished)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("whats next", "next"),
        ("what's next", "next"),
        ("que toca", "next"),
        ("status", "status"),
        ("estado", "status"),
        ("who is on", "who"),
        ("me", "me"),
        ("help", "help"),
        ("SOS", "sos"),
        ("sos tent 2", "sos"),
        ("plan", "plan"),
    ],
)
def test_where_things_stand_is_asked_in_a_word(text: str, what: str) -> None:
    assert parse(text, WEDDING) == Queried(what)


AT_13 = datetime(2026, 6, 13, 13, 0, tzinfo=UTC)  # 14:00 in London


def test_quiet_carries_until_when() -> None:
    noon = replace(WEDDING, now=datetime(2026, 6, 13, 11, 0, tzinfo=UTC))  # 12:00 in London
    assert parse("callate hasta las 14", noon) == Wished((Mute(AT_13),))
    assert parse("shut up till 2", noon) == Wished((Mute(AT_13),))
    assert parse("mute 30 min", noon) == Wished((Mute(AT_13 - timedelta(minutes=90)),))
    assert parse("mute", noon) == Wished((Mute(AT_13 - timedelta(hours=1)),))


# ------------------------------------------------------------------ what must never be booked


@pytest.mark.parametrize(
    "text",
    [
        "A not off yet",
        "don't pull A",
        "no saques A",
        "A aun no esta fuera",
        "A off?",
        "is A off",
        "can I pull A",
        "when A off",
        "A off in 5 min",
        "A fuera en 5 min",
        "will pull A",
        "pull A when it is 46",
        "A almost done",
        "A off later",
        "if A off call me",
        "A off and on",
        "should I bin A",
        "before A goes on",
    ],
)
def test_what_has_not_happened_is_not_booked(text: str) -> None:
    assert not isinstance(parse(text, WEDDING), Wished)


@pytest.mark.parametrize(
    "text",
    [
        "well done",
        "well done chef",
        "va bien",
        "cool",
        "smoke",
        "smoke!",
        "ready",
        "oops",
        "yo",
        "me too",
        "its quiet here",
        "turn off the smoker",
        "light off",
        "86 lamb",
        "take A to 46",
        "get A to 46",
        "want A at 46",
        "need A off",
        "let A rest",
        "A off the menu",
        "lid off A",
        "sos un crack",
        "fire",
        "on my way",
        "day off",
    ],
)
def test_talk_that_sounds_like_a_report_ticks_nothing(text: str) -> None:
    assert isinstance(parse(text, WEDDING), Asked | Nothing | Unclear)


@pytest.mark.parametrize(("text", "unit"), [("A 2 on", "A.2"), ("A2 on", "A.2"), ("A.2 on", "A.2")])
def test_a_batch_may_be_typed_without_its_point(text: str, unit: str) -> None:
    assert wish(text) == ReportStep(unit, "on", START)


def test_a_load_called_like_a_batch_without_its_point_comes_first() -> None:
    ear = replace(HARVEST, units=("a1", "a1.1", "a2", "a.2"))
    assert wish("a2 on", ear) == ReportStep("a2", "on", START)


@pytest.mark.parametrize("text", ["bin it", "bin", "tirar", "bin chicken", "bin 3"])
def test_what_was_binned_is_never_guessed(text: str) -> None:
    assert isinstance(parse(text, WEDDING), Unclear)


@pytest.mark.parametrize(
    "text", ["sauce 66", "47", "temp 7", "light pit", "brine late", "47 at 35min when pull"]
)
def test_what_can_be_read_two_ways_is_asked(text: str) -> None:
    ear = HARVEST if "pit" in text else WEDDING
    assert isinstance(parse(text, ear), Unclear | Asked)


@pytest.mark.parametrize(
    ("text", "ear"),
    [("sauce 66", WEDDING), ("47", WEDDING), ("temp 7", WEDDING), ("light pit", HARVEST),
     ("running late", WEDDING), ("+5", WEDDING), ("now 47", WEDDING), ("all off", WEDDING),
     ("cooler at 7", WEDDING),
     ("P1 225", replace(HARVEST, kinds={"P1": "oven"})),
     ("bin it", WEDDING)],
)  # fmt: skip
@pytest.mark.parametrize("lang", ["en", "es"])
def test_a_choice_said_after_the_line_settles_it(text: str, ear: Ear, lang: str) -> None:
    asked = parse(text, ear)
    assert isinstance(asked, Unclear)
    assert asked.choices
    for choice in asked.choices:
        again = f"{text} {render(choice, lang, ear.zone)}"
        assert isinstance(parse(again, ear), Wished), again


@pytest.mark.parametrize("text", ["jajaja", "lol", "nice one", "que risa", "  ", "", "😂"])
def test_banter_is_not_answered(text: str) -> None:
    assert parse(text, WEDDING) == Nothing()


@pytest.mark.parametrize(
    "text",
    ["luis vomito", "alergia al apio", "raw chicken dripped on salad tray"],
)
def test_what_may_hurt_somebody_is_never_banter_and_never_a_tick(text: str) -> None:
    assert isinstance(parse(text, WEDDING), Asked)


@pytest.mark.parametrize(
    ("text", "alarm"),
    [
        ("paco mareado dice q esta bien", "collapse"),
        ("woman swollen lips after salad", "reaction"),
        ("smoke alarm in tent", "co"),
        ("tent on fire", "fire"),
        ("gas leak", "gas"),
        ("eli se ha cortado", "burn"),
    ],
)
def test_an_alarm_is_raised_whatever_else_the_line_says(text: str, alarm: str) -> None:
    for line in (text, text.upper(), f"A off, {text}", f"{text} 12 kg"):
        assert parse(line, WEDDING) == Wished((RaiseAlarm(alarm),)), line


QUESTIONS = """
5to1 conc 18L tub how much
salmuera 6% 25 kg pollo
rub 14kg ribs
how much dressing per head of cabage
320 ppl 180g steak how many 12kg cases trim 8
2 grates 45x60 stks 20x12 how many loads for 64
sani bucket 10L bleach 5%
carbon para 3h parrilla 1,2x0,6
3 cups rub in g
arroz 150 pax guarnicion
40kg cabeza con hueso cuantos bocatas 110g
made 14kg sauce 365 ppl ok?
oil vin 3:1 2.5L
doble de aliño
butt stuck at 70 for 2h help
120 plates 1 line how long
pit back up yet
no tahini use peanut butter?
we lost lane 3
47 at 35min when pull
2 probes say 58 n 64 same pork
el cerdo a 61 ya?
salmon 48 pull?
bone in thigh 76 but red at bone
mayo slaw been out 3h its 33
20kg beans hot how cool
reuse marinade as sauce?
garlic oil left out since last nite
can guests take leftovers
smoked the pork this am can i sear tonite
guest asks egg or mustard in slaw
celery?
cost per plate now
"""


@published("trade word list, common practice: what crews ask")
@pytest.mark.parametrize("text", QUESTIONS.strip().splitlines())
def test_a_question_of_the_trade_is_handed_on_and_nothing_is_booked(text: str) -> None:
    heard = parse(text, WEDDING)
    assert isinstance(heard, Asked | Unclear), heard


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=120), st.sampled_from([WEDDING, HARVEST, STRANGE]))
def test_no_text_whatever_makes_the_parser_fall(text: str, ear: Ear) -> None:
    parse(text, ear)


_WORDS = """
A B a1 P2 box 3 46 6.5 on off fuera dentro done ok +40 -5 now plates late 14:15 1802
min ago hace load rack 2nd 4/5 [2] / /off ? no salad lamb bin flip pit 225 °C temp , y and undo
"""


@settings(max_examples=400, deadline=None)
@given(
    st.lists(st.sampled_from(_WORDS.split()), max_size=8),
    st.sampled_from([WEDDING, HARVEST, STRANGE]),
)
def test_no_jumble_of_trade_words_makes_the_parser_fall(words: list[str], ear: Ear) -> None:
    parse(" ".join(words), ear)


def test_a_line_of_100_kb_is_read_only_as_far_as_a_line_goes() -> None:
    parse("A off " * 20_000, WEDDING)
    parse("/" + "x" * 100_000, WEDDING)


def test_the_clocks_going_back_leave_a_past_time_in_the_past() -> None:
    madrid = ZoneInfo("Europe/Madrid")
    night = datetime(2026, 10, 25, 1, 40, tzinfo=UTC)  # 02:40 the second time
    heard = parse("2:35 A on", replace(WEDDING, now=night, zone=madrid))
    assert isinstance(heard, Wished)
    assert heard.at == night - timedelta(minutes=5)
