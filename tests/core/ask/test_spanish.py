"""Everything a quick answer about amounts says has its Spanish, with the same values in it."""

from __future__ import annotations

import ast
import re
from datetime import UTC
from pathlib import Path

import pytest

import core.ask
from bot.render import render, render_answer
from bot.render.catalogue import catalogue
from core.ask import AskContext, ask
from core.tables.quantities import rows

OURS = (
    "__init__",
    *(f"{name}_topics" for name in ("brine", "card", "cost", "crowd", "fuel", "load")),
    *(f"{name}_topics" for name in ("measure", "mix", "ratio", "season", "yield")),
    *(f"{name}_topics" for name in ("list", "pace", "pack", "salometer", "side")),
)


def templates(module: str) -> set[str]:
    """Return every literal template of a module of quick questions."""
    source = Path(core.ask.__file__).with_name(f"{module}.py").read_text(encoding="utf-8")
    return {
        call.args[0].value
        for call in ast.walk(ast.parse(source))
        if isinstance(call, ast.Call)
        and isinstance(call.func, ast.Name)
        and call.func.id == "say"
        and call.args
        and isinstance(call.args[0], ast.Constant)
        and isinstance(call.args[0].value, str)
    }


def fields(text: str) -> list[str]:
    return sorted(re.findall(r"{(\w+)}", text))


@pytest.mark.parametrize("module", OURS)
def test_every_template_is_translated_with_its_values(module: str) -> None:
    spanish = catalogue("es")
    found = templates(module)
    assert found
    for text in found:
        there = spanish.gettext(text)
        assert fields(there) == fields(text), text
        words = re.sub(r"{\w+}", "", text)
        if re.search(r"[a-z]{3}", words) and text != "imperial":
            assert there != text, text


def test_the_names_of_goods_are_translated() -> None:
    spanish = catalogue("es")
    keys = {r["key"] for section in ("portion", "side", "season") for r in rows("rules", section)}
    keys |= {r["key"] for r in rows("rules", "brine_window")}
    assert {key for key in keys if spanish.gettext(key) == key} <= {"mop"}


def test_a_spanish_answer_reads_as_a_cook_writes_it() -> None:
    answer = ask("salmuera 6% 25 kg pollo", AskContext(lang="es"))
    lines = render_answer(answer, "es", UTC)
    assert lines[0] == "25 L de agua + 1,5 kg de sal."
    assert lines[3] == "muslo sin hueso: saca a 1–2 h, máximo 3 h."


@pytest.mark.parametrize(
    "text",
    ["5to1 conc 18L tub how much", "sani bucket 10L", "40kg lamb 150g how many portions"],
)
def test_a_spanish_choice_said_after_the_question_is_enough(text: str) -> None:
    context = AskContext(lang="es")
    answer = ask(text, context)
    assert answer.choices
    for choice in answer.choices:
        settled = ask(f"{text} {render(choice, 'es', UTC)}", context)
        assert settled.question is None
        assert settled.numbers
