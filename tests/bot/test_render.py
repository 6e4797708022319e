"""Lines as words: numbers the reader's way, verdict first, one language or several."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bot.render import over_length, render, render_answer, render_error, stacked
from bot.render.numbers import number_text
from core.errors import CannotPlanError, OutOfRangeError, UnknownNameError
from core.model import Answer, Clock, Label, Line, Qty, Span, Verdict, say

MADRID = ZoneInfo("Europe/Madrid")
EVENING = datetime(2026, 10, 2, 16, 30, tzinfo=UTC)  # 18:30 in Madrid


@pytest.mark.parametrize(
    ("qty", "english", "spanish"),
    [
        (Qty(14.0, "kg"), "14 kg", "14 kg"),
        (Qty(1.5, "kg"), "1.5 kg", "1,5 kg"),
        (Qty(1.875, "L"), "1.88 L", "1,88 L"),
        (Qty(0.0512, "kg"), "0.0512 kg", "0,0512 kg"),
        (Qty(172.4, "g"), "172 g", "172 g"),
        (Qty(1200, "g"), "1200 g", "1200 g"),
        (Qty(12500, "g"), "12\u202f500 g", "12\u202f500 g"),
        (Qty(-1.0, "°C"), "-1 °C", "-1 °C"),
        (Qty(-0.0001, "°C", 0), "0 °C", "0 °C"),
        (Qty(14.0, "kg", 1), "14.0 kg", "14,0 kg"),
        (Qty(1, "loads"), "1 load", "1 tanda"),
        (Qty(4, "loads"), "4 loads", "4 tandas"),
        (Qty(320, "heads", 0), "320 heads", "320 comensales"),
        (Qty(6, "1/min"), "6/min", "6/min"),
        (Qty(3, "count"), "3", "3"),
    ],
)
def test_a_quantity_reads_the_local_way_with_its_unit(qty: Qty, english: str, spanish: str) -> None:
    assert render(say("{q}", q=qty), "en", UTC) == english
    assert render(say("{q}", q=qty), "es", UTC) == spanish


def test_a_range_carries_its_unit_once() -> None:
    assert render(say("{s}", s=Span(1.5, 2.25, "kg")), "es", UTC) == "1,5–2,25 kg"


@given(st.floats(0.001, 99999.0))
def test_a_number_is_never_written_with_a_sign_that_could_group_thousands(value: float) -> None:
    for lang, other in (("en", ","), ("es", ".")):
        assert other not in number_text(value, lang)


@given(st.floats(-1e6, 1e6))
def test_three_figures_are_within_half_a_hundredth_of_the_number(value: float) -> None:
    shown = float(number_text(value, "en").replace("\u202f", ""))
    assert shown == pytest.approx(value, rel=0.005, abs=1e-9)  # by hand: 3 figures, 1.005 → 1.00


def test_a_time_is_site_time() -> None:
    assert render(say("plates {at}", at=Clock(EVENING)), "en", MADRID) == "plates 18:30"


@pytest.mark.parametrize(
    ("now", "english", "spanish"),
    [
        (datetime(2026, 10, 2, 6, 0, tzinfo=UTC), "18:30", "18:30"),
        (datetime(2026, 10, 1, 6, 0, tzinfo=UTC), "tomorrow 18:30", "mañana 18:30"),
        (datetime(2026, 10, 3, 6, 0, tzinfo=UTC), "yesterday 18:30", "ayer 18:30"),
        (datetime(2026, 9, 29, 6, 0, tzinfo=UTC), "Fri 18:30", "vie 18:30"),
        (datetime(2026, 9, 20, 6, 0, tzinfo=UTC), "02.10. 18:30", "02.10. 18:30"),
    ],
)
def test_a_time_on_another_day_says_which(now: datetime, english: str, spanish: str) -> None:
    line = say("{at}", at=Clock(EVENING))
    assert render(line, "en", MADRID, now) == english
    assert render(line, "es", MADRID, now) == spanish


@pytest.mark.parametrize(
    ("verdict", "spanish"),
    [
        (Verdict.OK, "OK"),
        (Verdict.NOT_YET, "TODAVÍA NO"),
        (Verdict.BIN, "TIRAR"),
        (Verdict.STOP, "ALTO"),
        (Verdict.UNKNOWN, "NO LO SÉ"),
        (Verdict.NOT_CONFIRMED, "SIN CONFIRMAR"),
        (Verdict.YES, "SÍ"),
        (Verdict.NO, "NO"),
    ],
)
def test_every_verdict_has_its_word_in_both_languages(verdict: Verdict, spanish: str) -> None:
    line = say("{v}", v=verdict)
    assert render(line, "en", UTC) == verdict.value
    assert render(line, "es", UTC) == spanish


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("verdict", list(Verdict))
def test_an_answer_with_a_verdict_starts_with_its_word(verdict: Verdict, lang: str) -> None:
    word = render(say("{v}", v=verdict), lang, UTC)
    bare = Answer((say("{q} in the tray", q=Qty(4, "kg")),), verdict=verdict)
    said = Answer((say("{v}. So it is.", v=verdict),), verdict=verdict)
    assert render_answer(bare, lang, UTC)[0].startswith(f"{word}. ")
    assert render_answer(said, lang, UTC)[0].count(word) == 1


def test_no_is_put_before_a_line_that_only_begins_like_it() -> None:
    answer = Answer((say("NOT in the batch."),), verdict=Verdict.NO)
    assert render_answer(answer, "en", UTC)[0] == "NO. NOT in the batch."


def test_what_is_beyond_four_lines_is_said_not_dropped() -> None:
    lines = tuple(say("line {n}", n=n) for n in range(1, 7))
    answer = Answer(lines, question=say("Which one?"))
    assert render_answer(answer, "en", UTC) == (
        "line 1",
        "line 2",
        "line 3",
        "line 4 line 5 line 6",
        "Which one?",
    )


def test_how_a_question_was_read_is_echoed_once() -> None:
    reading = say("{a} water : {b} concentrate", a=5, b=1)
    silent = Answer((say("15 L"),), read_as=reading)
    telling = Answer((say("15 L, {r}", r=reading),), read_as=reading)
    assert render_answer(silent, "en", UTC)[1] == "Read as 5 water : 1 concentrate."
    assert len(render_answer(telling, "en", UTC)) == 1


def test_a_name_is_never_translated_and_never_read_as_a_template() -> None:
    line = say("{thing} off", thing=Label("{done} done\u202e\n"))
    assert render(line, "es", UTC) == "{done} done   off"


def test_a_plain_text_value_is_translated() -> None:
    assert render(say("{what}!", what="done"), "es", UTC) == "hecho!"


def test_a_line_in_a_line_is_translated_too() -> None:
    inner = say("plates {at} → {was}", at=Clock(EVENING), was=Clock(EVENING))
    text = render(say("Undid: {what} (yours, {clock}).", what=inner, clock=Clock(EVENING)), "es",
                  MADRID)  # fmt: skip
    assert text == "Deshecho: platos 18:30 → 18:30 (tuyo, 18:30)."


def test_a_room_reads_both_languages_and_what_is_the_same_once() -> None:
    both = stacked(say("PULL {thing} · {clock}", thing=Label("A"), clock=Clock(EVENING)),
                   ("en", "es"), MADRID)  # fmt: skip
    assert both == ("PULL A · 18:30", "SACA A · 18:30")
    assert stacked(Line("A · 46", {}), ("en", "es"), MADRID) == ("A · 46",)


def test_an_unknown_language_is_answered_in_english() -> None:
    assert render(say("done"), "fr", UTC) == "done"


def test_an_error_is_one_line_and_its_hint() -> None:
    error = UnknownNameError("load", "zz\x1b[2J", "A, B")
    assert render_error(error, "en", UTC) == ("I know no load 'zz [2J'. There is: A, B.",)
    late = OutOfRangeError("count", 900, "1 to 72")
    assert render_error(late, "en", UTC) == (
        "count 900 is out of range: it must be 1 to 72.",
        "Check the number and its unit.",
    )


def test_the_reason_of_no_plan_is_translated_with_its_values() -> None:
    assert render_error(CannotPlanError("nothing is cooking yet"), "es", UTC) == (
        "Sin plan: aún no hay nada en marcha.",
    )


def test_a_push_too_long_for_a_lock_screen_is_told_by_language() -> None:
    line = say("PULL {thing} · {clock}", thing=Label("x" * 71), clock=Clock(EVENING))
    assert over_length(line, ("en", "es"), UTC) == ()  # by hand: 5 + 71 + 3 + 5 = 84
    longer = say("FLIP {thing} · {clock}", thing=Label("x" * 73), clock=Clock(EVENING))
    assert over_length(longer, ("en", "es"), UTC) == ("es",)  # by hand: 13 + 73 + 3 + 5 = 94
