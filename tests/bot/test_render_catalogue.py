"""The catalogues are whole: every sentence has its translation, with the same fields."""

from __future__ import annotations

import io
import re

import pytest
from babel.messages.pofile import read_po

from bot.render.catalogue import part_texts
from tests.bot.catalogues import missing, sentences

FIELD = re.compile(r"\{[a-z_][a-z0-9_]*\}")
LANGUAGES = ("es",)


@pytest.mark.parametrize("lang", LANGUAGES)
def test_every_sentence_has_a_translation(lang: str) -> None:
    assert missing(lang) == []


@pytest.mark.parametrize("lang", LANGUAGES)
def test_a_translation_has_the_fields_of_its_message(lang: str) -> None:
    for name, text in part_texts(lang):
        for message in read_po(io.BytesIO(text.encode()), charset="utf-8"):
            wanted = set(FIELD.findall(str(message.id)))
            found = set(FIELD.findall(str(message.string)))
            assert not message.id or wanted == found, f"{name}: {message.id}"


@pytest.mark.parametrize("lang", LANGUAGES)
def test_no_message_is_translated_two_ways(lang: str) -> None:
    said: dict[str, str] = {}
    for name, text in part_texts(lang):
        for message in read_po(io.BytesIO(text.encode()), charset="utf-8"):
            if message.id:
                now = str(message.string)
                assert said.setdefault(str(message.id), now) == now, f"{name}: {message.id}"


def test_the_sentences_are_found_in_the_code() -> None:
    found = {text: where for where, text in sentences()}
    assert found["CALL AMBULANCE NOW. No site address on the card: say where you are."].startswith(
        "core/"
    )
