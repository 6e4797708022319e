"""Every doneness, safety and allergen line of the trade list, English and Spanish.

Expected words and numbers are the trade list's own answers; common practice.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

import bot
from bot.cards import read_event
from core.allergens import Made, Swap
from core.ask import AskContext, ask
from core.model import Answer, Place, Profile, Reading, Verdict

EXAMPLES = Path(bot.__file__).parent / "examples"
NOON = datetime(2026, 6, 13, 12, 55, tzinfo=UTC)
WEDDING = read_event(EXAMPLES / "golden_wedding")
BOOKS = [None, *Profile]


def asked(text: str, book: Profile | None = Profile.US, lang: str = "en") -> Answer:
    return ask(text, AskContext(profile=book, lang=lang, now=NOON))


def numbers(answer: Answer) -> dict[str, float | str]:
    return {n.name: n.value for n in answer.numbers}


def words(answer: Answer) -> str:
    """Return every template and label of an answer."""
    found: list[str] = []

    def add(value: object) -> None:
        text = getattr(value, "text", None)
        if text is not None:
            found.append(text)
        for inner in getattr(value, "fields", {}).values():
            add(inner)

    for line in (*answer.lines, *((answer.question,) if answer.question else ())):
        add(line)
    return " ".join(found)


LINES = [  # text, language, verdict, a word of the answer
    ("2 probes say 58 n 64 same pork", "en", "NOT YET", "Trust neither"),
    ("dos sondas dicen 58 y 64 mismo cerdo", "es", "NOT YET", "Trust neither"),
    ("el cerdo a 61 ya?", "es", "NOT YET", "asks"),
    ("pork at 61 yet?", "en", "NOT YET", "asks"),
    ("salmon 48 pull?", "en", "NOT YET", "House rule for public events"),
    ("salmón 48 saco?", "es", "NOT YET", "House rule for public events"),
    ("bone in thigh 76 but red at bone", "en", "OK", "Red marrow"),
    ("muslo con hueso 76 pero rojo en el hueso", "es", "OK", "Red marrow"),
    ("mayo slaw been out 3h its 33", "en", "BIN", "No chilling again"),
    ("ensalada de col con mayo lleva fuera 3h a 33 grados", "es", "BIN", "No chilling again"),
    ("cooler at 7", "en", "UNKNOWN", "air or food"),
    ("nevera a 7", "es", "UNKNOWN", "air or food"),
    ("reuse marinade as sauce?", "en", "NOT YET", "Only boiled"),
    ("reutilizo la marinada de salsa?", "es", "NOT YET", "Only boiled"),
    ("garlic oil left out since last nite", "en", "BIN", "botulism"),
    ("aceite de ajo fuera desde anoche", "es", "BIN", "botulism"),
    ("raw chicken dripped on salad tray", "en", "BIN", "under it"),
    ("pollo crudo goteó en la bandeja de ensalada", "es", "BIN", "under it"),
    ("luis vomito", "es", "STOP", "out now"),
    ("luis vomited", "en", "STOP", "out now"),
    ("can guests take leftovers", "en", "BIN", "House default: no"),
    ("se pueden llevar las sobras los invitados?", "es", "BIN", "House default: no"),
    ("delivery chicken 8c", "en", "BIN", "refuse it"),
    ("llega pollo a 8 grados", "es", "BIN", "refuse it"),
    ("paco mareado dice q esta bien", "es", "STOP", "AMBULANCE"),
    ("paco is dizzy says hes fine", "en", "STOP", "AMBULANCE"),
    ("smoke alarm / co alarm in tent", "en", "STOP", "EVERYONE OUT"),
    ("alarma de humo en la carpa", "es", "STOP", "EVERYONE OUT"),
    ("smoked the pork this am can i sear tonite", "en", "UNKNOWN", "Only if chilled"),
    ("ahumé el cerdo esta mañana puedo sellar esta noche", "es", "UNKNOWN", "Only if chilled"),
    ("new mayo tub diff brand", "en", "NOT CONFIRMED", "label"),
    ("mayonesa nueva de otra marca", "es", "NOT CONFIRMED", "label"),
    ("woman swollen lips after salad", "en", "STOP", "CALL AMBULANCE NOW"),
    ("mujer con labios hinchados después de la ensalada", "es", "STOP", "CALL AMBULANCE NOW"),
    ("no tahini use peanut butter?", "en", "STOP", "not on the sign"),
    ("sin tahini, uso crema de cacahuete?", "es", "STOP", "not on the sign"),
]


@pytest.mark.parametrize(("text", "lang", "verdict", "word"), LINES)
def test_the_trade_lines(text: str, lang: str, verdict: str, word: str) -> None:
    answer = asked(text, lang=lang)
    assert answer.verdict == verdict
    assert word in words(answer)
    assert len(answer.lines) <= 4
    assert answer.lines[0].text.startswith("{verdict}")


@pytest.mark.parametrize("text", ["47 at 35min when pull", "47 a los 35 min cuando saco"])
def test_two_readings_beat_any_formula_and_one_gives_a_minute_to_look(text: str) -> None:
    answer = asked(text)
    assert numbers(answer)["check_at"] == 39  # straight line 39.2; never 40.5
    assert numbers(answer)["pull"] == 52
    assert answer.verdict is None


@pytest.mark.parametrize("text", ["20kg beans hot how cool", "20 kg alubias calientes como enfrio"])
def test_twenty_kilos_of_beans(text: str) -> None:
    found = numbers(asked(text))
    assert found["pans"] == 3
    assert found["depth"] == pytest.approx(3.9, abs=0.05)  # said as 4 cm
    assert found["ice"] == pytest.approx(30, rel=0.05)
    assert (found["first_stage"], found["last_stage"]) == (2.0, 6.0)


@pytest.mark.parametrize("text", ["cooler at 7", "cooler 7", "nevera a 7", "temp 7"])
def test_a_cooler_runs_from_its_last_good_log(text: str) -> None:
    good = Reading(4.0, Place.TUB, datetime(2026, 6, 13, 12, 40, tzinfo=UTC), "carmen", "C1")
    bad = Reading(7.0, Place.TUB, datetime(2026, 6, 13, 12, 54, tzinfo=UTC), "carmen", "C1")
    answer = ask(text, AskContext(profile=Profile.US, now=NOON, readings=(bad, good)))
    assert answer.verdict is Verdict.UNKNOWN
    assert numbers(answer)["deadline"] == "2026-06-13T14:40:00+00:00"
    assert [c.text for c in answer.choices] == ["air", "food"]


def test_the_choice_after_the_question_reads_without_asking_again() -> None:
    good = Reading(4.0, Place.TUB, datetime(2026, 6, 13, 12, 40, tzinfo=UTC), "carmen", "C1")
    for choice in ("food", "comida"):
        context = AskContext(profile=Profile.US, now=NOON, readings=(good,))
        answer = ask(f"cooler at 7 {choice}", context)
        assert answer.question is None
        assert numbers(answer)["deadline"] == "2026-06-13T14:40:00+00:00"
    assert ask("cooler at 7 air", AskContext(profile=Profile.US, now=NOON)).question is None


def test_another_box_being_cold_later_says_nothing_of_this_one() -> None:
    old = Reading(4.0, Place.TUB, NOON - timedelta(hours=3), "carmen", "C1")
    new = Reading(4.0, Place.TUB, NOON - timedelta(minutes=5), "carmen", "C2")
    answer = ask("cooler at 7 food", AskContext(profile=Profile.US, now=NOON, readings=(new, old)))
    assert answer.verdict is Verdict.BIN  # by hand: 3 h since the older box's last good reading


# ------------------------------------------------------------------ allergens at the wedding


def wedding(text: str, lang: str = "en") -> Answer:
    return ask(text, AskContext(cards=WEDDING, lang=lang, now=NOON))


@pytest.mark.parametrize(
    ("text", "lang"),
    [
        ("guest asks egg or mustard in potato salad", "en"),
        ("lleva huevo o mostaza la ensalada de puerro?", "es"),
    ],
)
def test_mustard_yes_with_whom_to_call(text: str, lang: str) -> None:
    answer = wedding(text, lang)
    assert answer.verdict is Verdict.YES
    said = words(answer)
    assert "mustard" in said
    assert "milk" in said
    assert "Carmen" in said


@pytest.mark.parametrize(("text", "lang"), [("celery?", "en"), ("apio?", "es")])
def test_celeriac_is_celery(text: str, lang: str) -> None:
    answer = wedding(text, lang)
    assert answer.verdict is Verdict.YES
    assert "Celeriac" in words(answer)


def test_one_unread_label_and_it_is_not_confirmed() -> None:
    assert wedding("any egg in potato thing?").verdict is Verdict.NOT_CONFIRMED  # cider vinegar


def test_no_is_earned_by_confirmed_labels() -> None:
    assert wedding("egg in the lamb?").verdict is Verdict.NO


def test_a_swapped_brand_names_its_dishes() -> None:
    answer = wedding("new buttermilk diff brand")
    assert answer.verdict is Verdict.NOT_CONFIRMED
    assert "Leek and potato salad" in words(answer)


def test_after_a_swap_every_dish_that_uses_it_is_not_confirmed() -> None:
    swapped = Made({}, (Swap("lamb rub without salt", NOON),))
    context = AskContext(cards=WEDDING, now=NOON)
    assert ask("egg in the lamb?", context).verdict is Verdict.NO
    again = ask("egg in the lamb?", replace(context, made=swapped))
    assert again.verdict is Verdict.NOT_CONFIRMED


def test_alarms_carry_the_site_and_never_ask() -> None:
    for text in ("woman swollen lips", "co alarm in tent", "paco mareado", "sos"):
        answer = wedding(text)
        assert answer.verdict is Verdict.STOP
        assert answer.question is None
        assert answer.choices == ()
        assert WEDDING.event.emergency is not None
        assert WEDDING.event.emergency.address in words(answer)


# ------------------------------------------------------------------ zero unsafe OK

UNSAFE = [
    "chicken 60 ok?", "pollo 60 ok?", "chicken 140F done?", "chicken 70 after 40 min",
    "chicken breast 68 done", "muslo 70 listo", "turkey 71 pull?", "pavo 150F hecho",
    "burger 60 ok", "burger 65 done?", "hamburguesa 150F ya?", "minced beef 63 done",
    "sausage 64 ready?", "salchicha 60 lista?", "stuffed chicken 72 done",
    "pollo relleno 70 hecho?", "pork 58 pull?", "injected pork 61 ok", "tenderised steak 57 ok?",
    "duck 60 pink ok?", "rare chicken ok at 60?", "egg dish 60 done?", "tortilla 60 hecha?",
    "raw chicken out 3 h air 20 c", "pollo crudo lleva fuera 3 h a 20 c",
    "potato salad been out 5 h its 25", "ensalada lleva fuera 5 h a 25 grados",
    "salad been out 90 min its 35", "mayo been out 2h its 95F", "slaw left out overnight",
    "rice been out 6 h", "arroz lleva fuera 6 h", "cream left out 4 h its 28",
    "cooler at 12 food", "nevera a 10 comida", "fridge at 9 food", "cámara a 9 comida",
    "hot box at 50 food", "caja caliente a 50 comida", "beans hot held at 45",
    "alubias en caliente a 50", "chili cooled 60 C at 0 h, 40 C at 2 h",
    "caldo enfriado 60 C a 0 h, 40 C a 2 h", "rice cooled 57 C to 21 C in 4 h",
    "beans reheated to 60 for 15 s took 3 h", "recalentado a 65 por segunda vez otra vez",
    "delivery fish 9c", "entrega pescado 9 c", "delivery mince 7 c", "pollo llega a 6 grados",
    "garlic oil 6 days in fridge", "aceite de ajo 6 dias en nevera", "garlic oil out all night",
    "reuse chicken marinade raw", "marinade as sauce no boil", "thaw chicken on the table ok?",
    "descongelar pollo en la mesa", "raw pork leaked on slaw", "marta vomited can she prep",
    "leo tiene diarrea puede cocinar", "smoked chicken this morning, finish tonight",
    "garlic oil made 3 h ago not in fridge", "aceite de ajo de hace 3 h sin nevera",
    "chicken smoked this morning, not chilled, no procedure, sear tonight",
    "salad out 3 h air 20 c, no written procedure", "marinade as sauce, sin hervir",
    "intact beef steak not labelled, both faces 145 F all over, core 120 F, general public",
    "labelled beef steak, both faces 145 F no colour change, core 120 F, general public",
    "labelled beef steak, both faces 145 F all over, core 120 F, pregnant guests",
    "labelled beef steak, both faces 145 F all over, core 120 F",
    "par cooked ribs yesterday sear today", "charcoal grill 5 ft from a wooden fence",
    "parrilla a 2 m de la carpa", "fire 3 m from the tent", "dressing ph 4.8 unpackaged",
    "probe reads 4 in ice", "two probes 60 and 74 same chicken", "grease fire on grill 2",
    "smell gas by the ring", "leftovers from the line ok to take home?",
    "chicken 73 c", "chicken 163 F", "pork chop 62 held 15 s", "salmon 55 medium ok?",
    "steak 50 rare ok?", "lamb 52 pink ok?", "pork 55 pink ok?", "burger medium rare 57 ok?",
    "roast beef 54 held 60 min", "brisket 60 in a 100 c pit done?", "eggs 60 done?",
]  # fmt: skip


@pytest.mark.parametrize("book", BOOKS)
@pytest.mark.parametrize("lang", ["en", "es"])
def test_nothing_unsafe_is_ever_ok(book: Profile | None, lang: str) -> None:
    said_ok = [text for text in UNSAFE if asked(text, book, lang).verdict is Verdict.OK]
    assert said_ok == []


def test_a_lone_number_or_food_is_never_cleared() -> None:
    for text in ("74", "74 C", "165", "chicken", "done?", "ok 74", "63 ok?", "is it safe", "7"):
        for book in BOOKS:
            assert asked(text, book).verdict is not Verdict.OK, (text, book)


@pytest.mark.parametrize(
    "text", ["chicken 999 F done?", "pollo -80 C ¿está?", "core 400 chicken ok"]
)
def test_what_no_food_can_be_is_never_cleared(text: str) -> None:
    assert asked(text).verdict is not Verdict.OK


def test_a_bare_165_is_fahrenheit() -> None:
    assert asked("chicken 165 ok?").verdict is Verdict.OK
    assert asked("chicken 160 ok?").verdict is Verdict.NOT_YET


def test_minutes_of_cooking_are_no_hold() -> None:
    assert asked("chicken smoked for 40 min, core 66 ok?").verdict is Verdict.NOT_YET
    assert asked("chicken core 66 held 40 min ok?").verdict is Verdict.OK


# ------------------------------------------------------------------ what else a crew types

MORE = [  # text, verdict, a word of the answer; common practice
    ("rice out 5 hours", "BIN", "No chilling again"),
    ("potato salad left out since 9", "BIN", "No chilling again"),
    ("brisket cooled overnight on the counter", "BIN", "No chilling again"),
    ("la ensalada lleva 3 horas al sol", "BIN", "No chilling again"),
    ("rice cooled 3 h still 30", "BIN", "reheat"),
    ("raw chicken juice on tomatoes", "BIN", "under it"),
    ("thermometer dropped", "STOP", "ice slush"),
    ("probe reads 3 in ice water", "STOP", "in ice"),
    ("probe reads 0.5 c in ice", "OK", "in ice"),
    ("charcoal in the van ok?", "STOP", "carbon monoxide"),
    ("brasas dentro de la carpa ok?", "STOP", "carbon monoxide"),
    ("mayo homemade raw egg ok?", "NOT YET", "pasteurised"),
    ("kidney beans slow cooked in smoker ok?", "STOP", "full boil"),
    ("alubias rojas al ahumador ok?", "STOP", "full boil"),
    ("propane smell near ring", "STOP", "Taps shut"),
    ("huele a gas", "STOP", "Taps shut"),
    ("oil on fire", "STOP", "NO water"),
    ("hand burnt on grill", "STOP", "cool running water"),
    ("ash in plastic bin", "STOP", "lidded metal"),
    ("co 40 ppm in tent", "STOP", "everyone out"),
]


@pytest.mark.parametrize(("text", "verdict", "word"), MORE)
def test_what_else_a_crew_types(text: str, verdict: str, word: str) -> None:
    answer = asked(text)
    assert answer.verdict == verdict, answer.lines[0].text
    assert word in words(answer)


def test_a_pot_read_cold_long_after_the_limit_was_not_shown_in_time() -> None:
    # 57 to 4 °C in 3 h may have passed 21 °C before 2 h: nobody knows
    assert asked("rice cooled 57 C to 4 C in 3 h").verdict is Verdict.UNKNOWN
    assert asked("rice cooled 57 C to 21 C in 3 h").verdict is Verdict.BIN


def test_arrived_at_three_is_a_time() -> None:
    assert asked("fish arrived at 3").verdict is not Verdict.OK


LIMITS = [  # text, rule book, number, value; from the region and cooking tables
    ("what temp for burgers", Profile.US, "core", 68),
    ("a que temperatura la hamburguesa", Profile.US_CONSUMER, "core", 71.1),
    ("a que temperatura el pollo", Profile.ES, "core", 74),
    ("what temp for whole chicken", Profile.CA, "core", 82),
    ("hot hold temp?", Profile.US, "limit", 57),
    ("hot hold temp?", Profile.UK, "limit", 63),
    ("hot hold temp?", None, "limit", 63),
    ("cold limit?", Profile.UK, "limit", 8),
    ("cold limit?", None, "limit", 4),
    ("how long can salad stay out", Profile.US_CONSUMER, "out", 120),
    ("how long can salad stay out", Profile.US_CONSUMER, "hot_weather", 60),
    ("cuanto puede estar fuera la mayo", None, "out", 120),
]


@pytest.mark.parametrize(("text", "book", "name", "value"), LIMITS)
def test_what_the_rule_book_asks(text: str, book: Profile | None, name: str, value: float) -> None:
    answer = asked(text, book)
    assert numbers(answer)[name] == pytest.approx(value)
    assert answer.verdict is None


def test_a_book_without_a_number_says_so() -> None:
    assert "no number" in words(asked("cold limit?", Profile.SCOTLAND))
    assert "no number" in words(asked("what temp for burgers", Profile.AU))
