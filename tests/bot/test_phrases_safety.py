"""Safety as it is typed: brands, labels, batches, probes, the sick, lifts; English and Spanish."""

from __future__ import annotations

from dataclasses import replace

import pytest

from bot.phrases import Asked, Heard, Nothing, Unclear, Wished, parse
from core.facts import (
    ApprovePink,
    CheckIce,
    DoubtProbe,
    GiveReading,
    LiftStop,
    MakeBatch,
    RaiseAlarm,
    ReadLabel,
    ReportBack,
    ReportSick,
    ReportStep,
    ShowLabel,
    SwapBrand,
    Wish,
)
from core.model import Place
from tests.bot.ears import WEDDING

EAR = replace(WEDDING, photo=None)


def wish(text: str) -> Wish:
    heard = parse(text, EAR)
    assert isinstance(heard, Wished), heard
    (one,) = heard.wishes
    return one


def is_booked(heard: Heard) -> bool:
    return isinstance(heard, Wished)


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("new buttermilk diff brand", "buttermilk"),
        ("new buttermilk tub different brand", "buttermilk"),
        ("buttermilk nueva otra marca", "buttermilk"),
        ("mustard from another brand now", "mustard"),
        ("mayo nueva otra marca", "mayo"),
        ("cider vinegar other supplier, new brand", "cider vinegar"),
        ("NEW BUTTERMILK DIFF BRAND FFS", "buttermilk"),
    ],
)
def test_another_brand_is_booked(text: str, what: str) -> None:
    assert wish(text) == SwapBrand(what)


@pytest.mark.parametrize(
    "text",
    ["buttermilk same brand", "is the buttermilk another brand?", "caja 2 marca 7", "A marca 46",
     "no new brand of buttermilk", "misma marca de buttermilk"],
)  # fmt: skip
def test_the_same_brand_a_question_and_a_reading_are_no_swap(text: str) -> None:
    heard = parse(text, EAR)
    assert not (isinstance(heard, Wished) and isinstance(heard.wishes[0], SwapBrand))


@pytest.mark.parametrize(
    ("text", "inside", "perhaps"),
    [
        ("label buttermilk: milk", ("milk",), ()),
        ("label buttermilk: milk, mustard and egg", ("milk", "mustard", "egg"), ()),
        ("label of buttermilk says milk; may contain nuts", ("milk",), ("nuts", "peanut")),
        ("label buttermilk: none", (), ()),
        ("etiqueta buttermilk: leche, huevo", ("milk", "egg"), ()),
        ("etiqueta de buttermilk: nada", (), ()),
        ("etiqueta buttermilk: leche. puede contener sesamo", ("milk",), ("sesame",)),
    ],
)
def test_a_label_is_read_exactly(
    text: str, inside: tuple[str, ...], perhaps: tuple[str, ...]
) -> None:
    found = wish(text)
    assert isinstance(found, ReadLabel)
    assert (found.ingredient, found.allergens) == ("buttermilk", inside)
    assert set(found.may_contain) <= set(perhaps)
    assert bool(found.may_contain) is bool(perhaps)


@pytest.mark.parametrize(
    "text",
    ["label buttermilk: no egg", "label buttermilk: sesmae", "label buttermilk: milk, unicorn",
     "label buttermilk: egg free", "etiqueta buttermilk: sin huevo", "label buttermilk: ok",
     "label buttermilk: fine", "label buttermilk: same as before", "label buttermilk"],
)  # fmt: skip
def test_a_label_that_is_not_understood_whole_is_asked_about(text: str) -> None:
    assert isinstance(parse(text, EAR), Unclear)


def test_a_photo_alone_is_kept_and_goes_with_what_was_read() -> None:
    photo = "c0ffee" + 58 * "0"
    ear = replace(EAR, photo=photo)
    assert parse("label buttermilk", ear) == Wished((ShowLabel("buttermilk", photo),))
    assert parse("label buttermilk: milk", ear) == Wished(
        (ReadLabel("buttermilk", ("milk",), (), photo),)
    )


@pytest.mark.parametrize(
    ("text", "number", "uses"),
    [
        ("salad batch 2 made 10:40", 2, ()),
        ("salad batch 2 made 10:40 with cream, yogurt", 2, ("cream", "yogurt")),
        ("leek salad made 10:40", None, ()),
        ("ensalada lote 2 hecha 10:40 con nata y yogur", 2, ("nata", "yogur")),
        ("ensalada tanda 3 lista con nata", 3, ("nata",)),
    ],
)
def test_a_batch_as_made(text: str, number: int | None, uses: tuple[str, ...]) -> None:
    assert wish(text) == MakeBatch("leek-potato-salad", number, uses)


@pytest.mark.parametrize("text", ["made 14kg sauce 365 ppl ok?", "salad made?", "salad not made"])
def test_amounts_questions_and_denials_are_no_batch(text: str) -> None:
    heard = parse(text, EAR)
    assert not (isinstance(heard, Wished) and isinstance(heard.wishes[0], MakeBatch))


@pytest.mark.parametrize(
    ("text", "probe", "why"),
    [
        ("dropped probe 2", "red", "dropped"),
        ("dropped the red probe", "red", "dropped"),
        ("sonda 2 al suelo", "red", "dropped"),
        ("se cayo la sonda blue", "blue", "dropped"),
        ("probe 9 fell", "probe 9", "dropped"),
        ("leave-in probe is wet", "leave-in", "wet"),
    ],
)
def test_a_dropped_probe(text: str, probe: str, why: str) -> None:
    assert wish(text) == DoubtProbe(probe, why)


def test_which_probe_is_asked_and_the_answer_settles_it() -> None:
    heard = parse("dropped the probe", EAR)
    assert isinstance(heard, Unclear)
    assert wish("dropped the probe red") == DoubtProbe("red", "dropped")


@pytest.mark.parametrize(
    ("text", "probe", "value", "fahrenheit"),
    [
        ("probe 1 ice 0.3", "leave-in", 0.3, False),
        ("red ice 0.3", "red", 0.3, False),
        ("sonda blue hielo 0,4", "blue", 0.4, False),
        ("ice check red 32.5 F", "red", 32.5, True),
        ("red ice 33", "red", 33.0, True),
        ("probe red ice -0.5", "red", -0.5, False),
    ],
)
def test_an_ice_check(text: str, probe: str, value: float, fahrenheit: bool) -> None:
    assert wish(text) == CheckIce(probe, value, fahrenheit)


def test_a_reading_with_its_probe() -> None:
    found = wish("A 46 red")
    assert isinstance(found, GiveReading)
    assert (found.reading.value, found.reading.instrument) == (46.0, "red")


def test_two_probes_are_two_readings() -> None:
    heard = parse("A red 58 blue 64", EAR)
    assert isinstance(heard, Wished)
    shown = [
        (w.reading.instrument, w.reading.value, w.reading.place)
        for w in heard.wishes
        if isinstance(w, GiveReading)
    ]
    assert shown == [("red", 58.0, Place.CORE), ("blue", 64.0, Place.CORE)]


def test_a_load_off_with_its_probe_is_the_reading_and_the_report() -> None:
    heard = parse("A off 46 red", EAR)
    assert isinstance(heard, Wished)
    reading, step = heard.wishes
    assert isinstance(reading, GiveReading)
    assert reading.reading.instrument == "red"
    assert isinstance(step, ReportStep)
    assert step.core_c is None


@pytest.mark.parametrize(
    ("text", "who"),
    [("carmen vomito", "carmen"), ("Carmen is sick", "carmen"), ("eli tiene diarrea", "eli"),
     ("Ana has the runs", "ana"), ("i just vomited", "bo"), ("he vomitado yo", "bo"),
     ("carmen esta mala", "carmen")],
)  # fmt: skip
def test_the_sick_of_the_crew(text: str, who: str) -> None:
    assert wish(text) == ReportSick(who)


@pytest.mark.parametrize("text", ["carmen is not sick", "guest vomited table 3", "luis vomito"])
def test_nobody_of_the_crew_is_sent_off_by_these(text: str) -> None:
    assert not is_booked(parse(text, EAR))


def test_who_is_off_comes_back_by_these() -> None:
    assert wish("Eli back") == ReportBack("eli")
    assert wish("eli ya esta bien") == ReportBack("eli")
    heard = parse("Ana is back", EAR)
    assert heard != Wished((ReportBack("ana"),))


@pytest.mark.parametrize(
    ("text", "what", "why"),
    [
        ("lift A: probed in 3 places", "A", "probed in 3 places"),
        ("lift the stop on box2: only drinks", "box2", "only drinks"),
        ("override A because the probe was in the fat", "A", "the probe was in the fat"),
        ("serve A anyway: looks fine", "A", "looks fine"),
        ("levanta el stop de A: sonda en 3 sitios", "A", "sonda en 3 sitios"),
        ("levanta A porque estaba bien", "A", "estaba bien"),
        ("sirve A igual", "A", ""),
        ("lift A", "A", ""),
    ],
)
def test_a_lift_and_its_reason(text: str, what: str, why: str) -> None:
    assert wish(text) == LiftStop(what, why)


@pytest.mark.parametrize("text", ["lift the lid", "can i serve A anyway?", "lift box2 into van"])
def test_other_lifting_is_no_lift(text: str) -> None:
    heard = parse(text, EAR)
    found = heard.wishes[0] if isinstance(heard, Wished) else None
    assert not (isinstance(found, LiftStop) and found.reason)


def test_pink_is_approved_by_name_of_the_dish() -> None:
    assert wish("approve pink lamb rump") == ApprovePink("lamb-rump")
    assert isinstance(parse("pink lamb ok?", EAR), Asked | Unclear | Nothing)


@pytest.mark.parametrize(
    "text", ["smoke alarm in tent, A off 46", "A 46, bo collapsed", "[2] tent on fire"]
)
def test_an_alarm_in_a_line_outranks_everything_else_in_it(text: str) -> None:
    heard = parse(text, EAR)
    assert isinstance(heard, Wished)
    assert isinstance(heard.wishes[0], RaiseAlarm)


def test_asked_with_the_slash_it_is_a_question() -> None:
    assert parse("/ask smoke alarm in tent", EAR) == Asked("smoke alarm in tent")
