"""Sloppy input: what a wet thumb types, and what it means. Source: trade word list."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from core.words import (
    Ago,
    Delta,
    Fraction,
    Num,
    Ordinal,
    Quantity,
    Range,
    Ratio,
    Size,
    Time,
    Times,
    Word,
    core_temperature_c,
    language_of,
    lex,
    nearest_instant,
    pit_temperature_c,
)
from core.words.food_words import ALLERGENS
from core.words.vocabulary import TRADE, spellings
from tests.published import published

EVENING = datetime(2026, 10, 2, 18, 9, tzinfo=UTC)


@published("trade word list, common practice: times of day")
@pytest.mark.parametrize("typed", ["1830", "18.30", "18h30", "6:30", "6 y media", "630pm"])
def test_every_way_to_type_half_past_six_is_half_past_six_in_the_evening(typed: str) -> None:
    (token,) = lex(typed)
    assert isinstance(token, Time)
    assert nearest_instant(token, EVENING, UTC).strftime("%H:%M") == "18:30"


@published("trade word list, common practice: ratios")
@pytest.mark.parametrize(
    ("typed", "parts"),
    [
        ("5to1", (5, 1)),
        ("5:1", (5, 1)),
        ("5 a 1", (5, 1)),
        ("1:5", (1, 5)),
        ("uno por cinco", (1, 5)),
        ("5 to 1", (5, 1)),
        ("5 : 1", (5, 1)),
    ],
)
def test_a_ratio_keeps_the_order_it_was_typed_in(typed: str, parts: tuple[int, int]) -> None:
    found = [t for t in lex(f"brine {typed}") if isinstance(t, Ratio)]
    assert [(t.a, t.b) for t in found] == [parts]


@published("trade word list, common practice: points, commas, thousands")
@pytest.mark.parametrize(
    ("typed", "lang", "value", "others"),
    [
        ("1.200 pax", "es", 1200, ()),
        ("1.200 pax", "en", 1200, ()),
        ("1,200 people", "en", 1200, ()),
        ("1.200", "es", 1200, (1.2,)),
        ("1.200", "en", 1.2, (1200,)),
        ("1,200", "en", 1200, (1.2,)),
        ("1,200", "es", 1.2, (1200,)),
        ("2,5", "en", 2.5, ()),
        ("2,5", "es", 2.5, ()),
        ("0.200", "en", 0.2, ()),
        ("1.234,5", "es", 1234.5, ()),
        ("1,234,567", "en", 1234567, ()),
    ],
)
def test_a_number_has_the_readings_its_writer_can_have_meant(
    typed: str, lang: str, value: float, others: tuple[float, ...]
) -> None:
    token = lex(typed, lang=lang)[0]
    assert isinstance(token, Num)
    assert (token.value, token.alternatives) == (value, others)


@pytest.mark.parametrize(
    ("typed", "value", "unit", "others"),
    [
        ("1.2 kg", 1.2, "kg", ()),
        ("1.200 kg", 1.2, "kg", (1200,)),
        ("1.200 g", 1200, "g", (1.2,)),
        ("18L", 18, "L", ()),
        ("5 lbs", 5, "lb", ()),
        ("3 cups", 3, "cup", ()),
        ("2 tazas", 2, "cup", ()),
        ("1 1/2 tsp", 1.5, "tsp", ()),
        ("½ cup", 0.5, "cup", ()),
        ("medio kilo", 0.5, "kg", ()),
        ("kilo y medio", 1.5, "kg", ()),
        ("2 kilos y medio", 2.5, "kg", ()),
        ("8c", 8, "°C", ()),
        ("165F", 165, "°F", ()),
        ("47 grados", 47, "°", ()),
        ("47 °C", 47, "°C", ()),
        ("-1 °C", -1, "°C", ()),
        ("6%", 6, "%", ()),
        ("6 por ciento", 6, "%", ()),
        ("100 ppm", 100, "ppm", ()),
        ("12 kW", 12, "kW", ()),
        ("1h30", 90, "min", ()),
        ("2h 15m", 135, "min", ()),
        ("media hora", 0.5, "h", ()),
        ("1:45 a side", 1.75, "min", ()),
        ("2 fl oz", 2, "fl oz", ()),
        ('2"', 2, "in", ()),
        ("un kilo de sal", 1, "kg", ()),
        ("a cup of salt", 1, "cup", ()),
        ("una hora y media", 1.5, "h", ()),
        ("30 km/h", 30, "km/h", ()),
    ],
)
def test_a_quantity_carries_its_unit_as_typed(
    typed: str, value: float, unit: str, others: tuple[float, ...]
) -> None:
    token = lex(typed, lang="en")[0]
    assert isinstance(token, Quantity)
    assert (token.value, token.unit, token.alternatives) == (value, unit, others)


@pytest.mark.parametrize(
    ("typed", "token"),
    [
        ("45x60", Size(45, 60, "", "45x60")),
        ("20 x 12 cm", Size(20, 12, "cm", "20 x 12 cm")),
        ("1,2x0,6", Size(1.2, 0.6, "", "1,2x0,6")),
        ("+40", Delta(40, "", "+40")),
        ("40 mas", Delta(40, "", "40 mas")),
        ("minus 5", Delta(-5, "", "minus 5")),
        ("5 menos", Delta(-5, "", "5 menos")),
        ("+8 coming", Delta(8, "", "+8 coming")),
        ("+5 min", Delta(5, "min", "+5 min")),
        ("4/5", Fraction(4, 5, "4/5")),
        ("2nd", Ordinal(2, "2nd")),
        ("2ª", Ordinal(2, "2nd")),
        ("x2", Times(2, "x2")),
        ("doble", Times(2, "doble")),
        ("10-15 min", Range(10, 15, "min", "10-15 min")),
        ("10 to 15 min", Range(10, 15, "min", "10 to 15 min")),
        ("5 min ago", Ago(5, "5 min ago")),
        ("hace 5 min", Ago(5, "hace 5 min")),
        ("hace media hora", Ago(30, "hace media hora")),
        ("an hour ago", Ago(60, "an hour ago")),
        ("hace 1h30", Ago(90, "hace 1h30")),
        ("noon", Time(12, 0, False, "noon")),
        ("22:30h", Time(22, 30, False, "22:30h")),
        ("2 dozen", Num(24, "2 dozen")),
        ("fifty-one", Num(51, "51")),
        ("cincuenta y uno", Num(51, "51")),
        ("veintidós", Num(22, "22")),
    ],
)
def test_what_is_one_thing_is_one_token(typed: str, token: object) -> None:
    assert lex(typed) == (token,)


def test_a_change_by_is_not_a_change_to() -> None:
    for typed in ("now 360", "somos 360"):
        word, number = lex(typed)
        assert isinstance(word, Word)
        assert word.canonical == "now"
        assert isinstance(number, Num)
        assert number.value == 360


@published("trade word list, common practice: typos forgiven in trade words")
@pytest.mark.parametrize(
    ("typed", "concept"),
    [
        ("sera", "sear"),
        ("brien", "brine"),
        ("chiken", "chicken"),
        ("salmeura", "brine"),
        ("cabage", "cabbage"),
        ("runing", "running"),
        ("concentrte", "concentrate"),
        ("OIDO", "ok"),
        ("oído", "ok"),
        ("👍🏽", "ok"),
        ("aliño", "dressing"),
        ("da la vuelta", "flip"),
        ("cabeza de lomo", "pork_collar"),
    ],
)
def test_a_trade_word_is_known_through_case_accent_and_typo(typed: str, concept: str) -> None:
    (token,) = lex(typed)
    assert isinstance(token, Word)
    assert (token.canonical, token.known) == (concept, True)


def _slips(word: str) -> set[str]:
    """Return the word with two neighbours swapped, one letter missing, or one doubled."""
    swapped = {word[:i] + word[i + 1] + word[i] + word[i + 2 :] for i in range(len(word) - 1)}
    missing = {word[:i] + word[i + 1 :] for i in range(len(word))}
    doubled = {word[:i] + word[i] + word[i:] for i in range(len(word))}
    return swapped | missing | doubled


def test_a_misspelt_allergen_is_never_taken_for_an_allergen_or_anything_else() -> None:
    exact = {s for row in (*ALLERGENS.values(), *TRADE.values()) for lang in ("en", "es")
             for s in spellings(row, lang)}  # fmt: skip
    for row in ALLERGENS.values():
        for spelling in (*spellings(row, "en"), *spellings(row, "es")):
            if " " in spelling:
                continue
            for slip in _slips(spelling) - exact:
                assert not any(t.known and t.near for t in lex(slip) if isinstance(t, Word)), (
                    f"{slip} for {spelling}"
                )


def test_every_allergen_word_typed_exactly_is_itself() -> None:
    for concept, row in ALLERGENS.items():
        for lang in ("en", "es"):
            for spelling in spellings(row, lang):
                (token,) = lex(spelling, lang=lang)
                assert isinstance(token, Word)
                assert token.canonical == concept


TRADE_WORDS = """
brine|salmuera
rub|adobo seco|mezcla
dressing|aliño
dress|aliñar
go|¡marcha!
heard|oído
load|tanda|lote
rack|rejilla|bandeja
probe|sonda
pull|sacar
flip|dar la vuelta
rest|reposar
sear|marcar|sellar
embers|brasas
gas bottle|bombona
trim loss|merma
costing|escandallo
walk-in|cámara
blast-chill|abatir
GN pan|gastro
portions|raciones
pax|cubiertos|comensales
lane|pass|línea|pase
run out|se acaba|no queda
bin it|tirar
leftovers|sobras
thaw|descongelar
skewer|brocheta
pork collar|cabeza de lomo|presa
corn|maíz|elote|choclo
avocado|aguacate|palta
bean|judía|frijol
chilli|guindilla|ají
on|in|dentro|metido
off|out|fuera|sacado|pulled
done|hecho
ok|oído|va|👍
"""


@published("trade word list, common practice: English and Spanish trade words")
@pytest.mark.parametrize("row", TRADE_WORDS.strip().splitlines())
def test_the_words_of_a_trade_term_mean_the_same_in_both_languages(row: str) -> None:
    concepts = set()
    for n, word in enumerate(row.split("|")):
        (token,) = lex(word, lang="es" if n else "en")
        assert isinstance(token, Word)
        assert token.known
        concepts.add(token.canonical)
    assert len(concepts) == 1


@pytest.mark.parametrize("word", ["road", "park", "lamp", "best", "beat", "sold", "heat", "fork"])
def test_an_everyday_word_is_not_a_typo(word: str) -> None:
    (token,) = lex(word)
    assert isinstance(token, Word)
    assert not token.near


def test_a_number_with_too_many_digits_is_no_number() -> None:
    assert not any(isinstance(t, Num | Quantity) for t in lex("9" * 400 + " kg"))


@pytest.mark.parametrize(
    ("typed", "thing"), [("lote2", "load"), ("box3", "box"), ("load 2", "load")]
)
def test_a_thing_and_its_number_may_be_written_together(typed: str, thing: str) -> None:
    word, number = lex(typed)
    assert isinstance(word, Word)
    assert isinstance(number, Num)
    assert (word.canonical, number.value) == (thing, float(typed[-1]))


def test_a_batch_name_stays_in_one_piece() -> None:
    assert [t.text for t in lex("A.2 on b1 G1")] == ["A.2", "on", "b1", "G1"]


def test_a_number_after_at_may_be_an_hour_or_a_temperature() -> None:
    number = lex("cooler at 7")[-1]
    assert isinstance(number, Num)
    assert number.value == 7
    assert number.clock is not None
    assert (number.clock.hour, number.clock.ambiguous) == (7, True)


def test_a_number_word_that_is_not_read_whole_is_not_read_at_all() -> None:
    for typed in ("two hundred", "one hundred people", "2 mil pax", "doscientos"):
        assert not any(isinstance(t, Num | Quantity) for t in lex(typed)), typed


def test_a_space_in_a_number_leaves_two_readings() -> None:
    number = lex("1 200 pax")[0]
    assert isinstance(number, Num)
    assert (number.value, number.alternatives) == (1200, (200,))
    assert lex("load 1 200 g")[2] == Quantity(200, "g", "200 g")


def test_a_rate_is_no_amount() -> None:
    assert [t.text for t in lex("20 g a litre") if isinstance(t, Quantity)] == ["20 g"]


def test_four_digits_before_people_are_people() -> None:
    number = lex("1830 pax")[0]
    assert isinstance(number, Num)
    assert number.value == 1830


@pytest.mark.parametrize(
    ("typed", "lang"),
    [
        ("salmuera 6% 25 kg pollo", "es"),
        ("whats next", "en"),
        ("cuanto le falta al cordero", "es"),
        ("el cerdo a 61 ya?", "es"),
        ("runing 25 late", "en"),
        ("A 46", None),
        ("👍", None),
        ("", None),
    ],
)
def test_the_language_is_told_where_the_words_tell_it(typed: str, lang: str | None) -> None:
    assert language_of(typed) == lang


@published("trade word list, common practice: 165 and 108 as a core are °F")
def test_a_core_no_meat_can_have_is_fahrenheit() -> None:
    hot, warm = core_temperature_c(165), core_temperature_c(108)
    assert hot is not None
    assert warm is not None
    assert (hot.unit, round(hot.celsius), warm.unit, round(warm.celsius)) == ("°F", 74, "°F", 42)


def test_a_core_that_can_be_either_is_celsius_and_says_so() -> None:
    read = core_temperature_c(63)
    assert read is not None
    assert (read.celsius, read.unit, read.sure) == (63, "°C", False)
    assert read.other_c == pytest.approx(17.2, abs=0.05)  # by hand: (63 - 32) × 5/9


def test_a_core_above_boiling_on_both_scales_is_no_core() -> None:
    assert core_temperature_c(250) is None
    assert core_temperature_c(120, "°C") is None


@published("trade word list, common practice: 225 as a pit is 107 °C smoking, 225 °C searing")
def test_the_stage_decides_what_225_is() -> None:
    smoke, sear = pit_temperature_c(225, stage="smoke"), pit_temperature_c(225, stage="sear")
    unknown = pit_temperature_c(225)
    assert smoke is not None
    assert sear is not None
    assert unknown is not None
    assert (round(smoke.celsius), sear.celsius, unknown.sure) == (107, 225, False)
    assert sear.other_c is None  # 225 °F is no heat to sear at


def test_an_hour_the_clocks_skip_is_passed_over_for_the_nearest_real_one() -> None:
    madrid = ZoneInfo("Europe/Madrid")
    night = datetime(2026, 3, 29, 1, 10, tzinfo=UTC)  # 03:10 in Madrid, 02:30 does not exist
    found = nearest_instant(Time(2, 30, False, "02:30"), night, madrid)
    assert found.astimezone(madrid).strftime("%d %H:%M") in {"28 02:30", "30 02:30"}


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=200), st.sampled_from(["en", "es", "xx", ""]))
def test_no_text_whatever_makes_the_lexer_fall(text: str, lang: str) -> None:
    assert isinstance(lex(text, lang=lang), tuple)
    language_of(text)


_PIECES = ["5", "to", "1", ":", "/", "x", "+", "-", " ", "18", ".", ",", "kg", "y", "media", "h"]


@settings(max_examples=300, deadline=None)
@given(st.lists(st.sampled_from([*_PIECES, "hace", "ago", "las", "½", "ª", "pm", "%", "°"])))
def test_no_jumble_of_numbers_and_signs_makes_the_lexer_fall(pieces: list[str]) -> None:
    assert isinstance(lex("".join(pieces)), tuple)


@pytest.mark.parametrize("text", ["a" * 100_000, "1 " * 50_000, "1,234" * 20_000, "\0" * 100_000])
def test_a_line_of_100_kb_is_read_only_as_far_as_a_line_goes(text: str) -> None:
    assert len(lex(text)) <= 300


def test_no_spelling_means_two_things_in_one_language() -> None:
    for lang in ("en", "es"):
        meant: dict[str, str] = {}
        for concept, row in (*TRADE.items(), *ALLERGENS.items()):
            for spelling in spellings(row, lang):
                assert meant.setdefault(spelling, concept) == concept, spelling
