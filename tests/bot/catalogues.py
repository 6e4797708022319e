"""Which sentences the code can say, found by reading the code, and which lack a translation."""

from __future__ import annotations

import ast
import io
import re
from collections.abc import Iterator
from pathlib import Path

from babel.messages.pofile import read_po

from bot.render.catalogue import part_texts
from bot.render.clock import PATTERNS
from bot.render.numbers import _ONE  # what is counted is a message id too
from core.model import Verdict
from core.rights import Action

ROOT = Path(__file__).parents[2]
_FIELD = re.compile(r"\{[a-z_][a-z0-9_]*\}")
_REFUSALS = frozenset(
    {"OutOfRangeError", "UnknownNameError", "NothingOpenError", "UnitError", "NotAllowedError"}
)
_REFUSING = ("core/cook", "core/rights", "bot/replies", "bot/understand", "bot/dispatch")
_SAYS = frozenset({"say", "Line", "CannotPlanError"})


def sentences() -> Iterator[tuple[str, str]]:
    """Yield (file:line, message id) of every sentence in core and bot."""
    for folder in ("core", "bot"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            tree = ast.parse(path.read_text("utf-8"))
            for node in ast.walk(tree):
                for line, text in (*_said(node), *_refused(node, path)):
                    yield f"{path.relative_to(ROOT)}:{line}", text
    for word in (*Verdict, *PATTERNS, *_ONE, *_ONE.values(), *Action):
        yield "vocabulary", str(word)


def _said(node: ast.AST) -> Iterator[tuple[int, str]]:
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in _SAYS:
        keywords = [k.value for k in node.keywords] if node.func.id == "say" else ()
        for said in (*node.args[:1], *keywords):
            yield from ((said.lineno, text) for text in _literals(said))
    if isinstance(node, ast.ClassDef) and node.name.endswith("Error"):
        for inner in node.body:
            target, value = _assigned(inner)
            if target in {"template", "hint"} and value is not None:
                yield from ((inner.lineno, text) for text in _literals(value))


def _refused(node: ast.AST, path: Path) -> Iterator[tuple[int, str]]:
    """Yield the plain words in a refusal the crew can meet: 'I know no {load}'."""
    inside = path.relative_to(ROOT).as_posix()
    if not inside.startswith(_REFUSING) or not isinstance(node, ast.Call):
        return
    if isinstance(node.func, ast.Name) and node.func.id in _REFUSALS:
        for said in node.args:
            yield from ((said.lineno, text) for text in _literals(said))


def _assigned(node: ast.stmt) -> tuple[str, ast.expr | None]:
    if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
        return node.targets[0].id, node.value
    if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
        return node.target.id, node.value
    return "", None


def _literals(node: ast.expr) -> Iterator[str]:
    """Yield the texts an expression may be: a literal, or either side of a choice of two."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.IfExp):
        yield from _literals(node.body)
        yield from _literals(node.orelse)


def has_words(text: str) -> bool:
    """Tell whether a message has letters of its own beside its fields."""
    return any(c.isalpha() for c in _FIELD.sub("", text))


def translated_ids(lang: str) -> frozenset[str]:
    """Return the message ids a language has words for, one and many."""
    found: set[str] = set()
    for _, text in part_texts(lang):
        for message in read_po(io.BytesIO(text.encode()), charset="utf-8"):
            ids = message.id if isinstance(message.id, (list, tuple)) else (message.id,)
            found.update(ids if message.string else ())
    return frozenset(found)


def missing(lang: str) -> list[tuple[str, str]]:
    """Return (file:line, message id) of every sentence this language has no words for."""
    known = translated_ids(lang)
    return [(where, text) for where, text in sentences() if has_words(text) and text not in known]
