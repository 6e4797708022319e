from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot import codec
from bot.codec import CODEC, Codec, UnreadableError, fact_from, fact_text
from bot.ports import Incoming, Outgoing
from core.facts import CallAnswered, PlatesMoved, ReadingTaken
from core.model import Label, Line, Place, Qty, Reading, Span, Verdict
from tests.bot import golden_facts


def reading(core_c: float) -> ReadingTaken:
    return ReadingTaken(Reading(core_c, Place.CORE, golden_facts.at(9), "ana"))


NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
INSTANTS = st.datetimes(timezones=st.just(UTC))
LINES = st.recursive(
    st.builds(Line, st.text(max_size=9), st.just({})),
    lambda inner: st.builds(
        Line,
        st.text(max_size=9),
        st.dictionaries(
            st.sampled_from(["a", "b"]),
            inner
            | st.sampled_from(Verdict)
            | st.text(max_size=5)
            | st.integers()
            | st.builds(Label, st.text(max_size=5))
            | st.builds(Qty, NUMBERS, st.just("kg"))
            | st.builds(Span, NUMBERS, NUMBERS, st.just("min")),
        ),
    ),
    max_leaves=3,
)
st.register_type_strategy(float, NUMBERS)
st.register_type_strategy(datetime, INSTANTS)
st.register_type_strategy(Line, LINES)


@pytest.mark.parametrize("kind", [*codec.FACTS, Incoming, Outgoing], ids=lambda k: k.__name__)
def test_every_document_comes_back_as_it_was(kind: type) -> None:
    @settings(
        max_examples=15,
        deadline=None,
        suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
    )
    @given(st.from_type(kind))
    def comes_back(value: Any) -> None:
        document = codec.json_text(CODEC.encode(value))
        again = CODEC.decode(codec.json_values(document))
        assert again == value
        assert codec.json_text(CODEC.encode(again)) == document

    comes_back()


def test_every_fact_and_message_has_a_pinned_form() -> None:
    kinds = {type(v) for v in (*golden_facts.FACTS, *golden_facts.MESSAGES)}
    assert kinds == {*codec.FACTS, Incoming, Outgoing}


def test_what_is_written_today_is_pinned() -> None:
    pinned = golden_facts.pinned()  # pinned
    drifted = [line for line in golden_facts.written() if line not in pinned]
    assert not drifted, "the stored format changed: see tests/bot/golden_facts.py"


@pytest.mark.parametrize("line", golden_facts.pinned(), ids=lambda line: line[-40:])
def test_every_form_ever_stored_can_still_be_read(line: str) -> None:
    document = json.loads(line)
    assert type(CODEC.decode(document)).__name__ == document["type"]


def test_equal_instants_are_equal_bytes_in_every_zone() -> None:
    utc = datetime.fromisoformat("2026-06-13T12:00:00+00:00")
    madrid = datetime.fromisoformat("2026-06-13T14:00:00+02:00")
    assert fact_text(PlatesMoved(utc, utc)) == fact_text(PlatesMoved(madrid, madrid))
    assert '"at":"2026-06-13T12:00:00Z"' in fact_text(PlatesMoved(madrid, utc))


def test_a_whole_number_is_stored_as_the_float_it_is_meant_to_be() -> None:
    assert fact_text(reading(15)) == fact_text(reading(15.0))


def test_a_verdict_among_words_stays_a_verdict() -> None:
    line = Line("{v} {w}", {"v": Verdict.OK, "w": "OK"})
    to, back = codec.ways(Line)
    kinds = [type(v) for v in back(codec.json_values(to(line))).fields.values()]
    assert kinds == [Verdict, str]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ('{"key":"k","type":"CallAnswered","v":2}', "version 2"),
        ('{"key":"k","type":"CallAnswered","v":0}', "version 0"),
        ('{"key":"k","type":"CallAnswered"}', "version None"),
        ('{"key":"k","type":"Baked","v":1}', "unknown"),
        ('{"key":"k"}', "no type"),
        ("[1]", "no type"),
        ("{", "no JSON"),
        ('{"type":"CallAnswered","v":1}', "lacks key"),
        ('{"key":1,"type":"CallAnswered","v":1}', "1 is no str"),
        ('{"key":"k","more":1,"type":"CallAnswered","v":1}', "has no more"),
        ('{"heads":true,"was":1,"type":"HeadsChanged","v":1}', "True is no int"),
        ('{"heads":1.5,"was":1,"type":"HeadsChanged","v":1}', "1.5 is no int"),
        ('{"at":"2026-06-13T12:00","was":"2026-06-13T12:00Z","type":"PlatesMoved","v":1}', "zone"),
        ('{"report":"eaten","run":"t","type":"StepReported","v":1}', "no Report"),
        ('{"lines":["a"],"type":"Outgoing","v":1}', "wrong place"),
    ],
)
def test_what_cannot_be_read_says_why(text: str, why: str) -> None:
    with pytest.raises(UnreadableError, match=why):
        fact_from(text)


@pytest.mark.parametrize(
    "value",
    [
        PlatesMoved(datetime(2026, 6, 13, 12), datetime(2026, 6, 13, 12)),  # noqa: DTZ001
        reading(float("inf")),
        reading(float("nan")),
        "no fact at all",
    ],
)
def test_what_could_not_be_read_again_is_never_stored(value: Any) -> None:
    with pytest.raises(UnreadableError):
        fact_text(value)


def test_an_old_version_is_lifted_when_read_and_written_as_the_new_one() -> None:
    def second(fields: dict[str, Any]) -> dict[str, Any]:
        return {"name": fields["key"]}

    def third(fields: dict[str, Any]) -> dict[str, Any]:
        return {"key": fields["name"] + "!"}

    lifting = Codec((CallAnswered,), {("CallAnswered", 1): second, ("CallAnswered", 2): third})
    first = {"type": "CallAnswered", "v": 1, "key": "pull"}
    assert lifting.decode(first) == CallAnswered("pull!")
    assert first == {"type": "CallAnswered", "v": 1, "key": "pull"}
    assert lifting.encode(CallAnswered("pull"))["v"] == 3


def test_a_record_may_not_use_the_codecs_own_names() -> None:
    @dataclass(frozen=True)
    class Bad:
        v: int

    with pytest.raises(TypeError, match="may have no field"):
        Codec((Bad,), {})
