"""One question, one answer: number or verdict first, the reading echoed, never a silent pick.

| File | What it holds |
|---|---|
| `topic.py` | what a topic is, and what is known beside the words |
| `topics.py` | the table of topics |
| `said.py` | a lexed line laid out: amounts, counts, words |
| `tell.py` | numbers as a cook reads them |
| `*_topics.py` | words into typed questions, and their answers by the engines below |

`ask` tries the topics by rank. One reading is answered; two of the same rank are shown as choices,
and so is a number that can be read two ways ('1.200 kg'); none is an honest 'I don't know that'.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from core.ask.clearing import cleared
from core.ask.topic import AskContext, Rank, Topic
from core.ask.topics import topics
from core.errors import CannotPlanError, KitchenError
from core.model import Answer, Label, Line, Qty, Value, Verdict, say
from core.words import Num, Quantity, Token, lex

__all__ = ["AskContext", "Rank", "Topic", "ask"]

_LONGEST = 400  # characters; a question is a line, and what is longer is not read


def ask(text: str, context: AskContext) -> Answer:
    """Return the answer to one quick question; never raises for anything that can be typed."""
    if len(text) > _LONGEST:
        return Answer((say("That is too long. Ask one short question."),))
    tokens = _chosen(lex(text, context.lang))
    doubtful = next((at for at, t in enumerate(tokens) if _alternatives(t)), None)
    if doubtful is None:
        return _answer(tokens, text, context)
    return _both(tokens, doubtful, text, context)


def _alternatives(token: Token) -> tuple[float, ...]:
    return token.alternatives if isinstance(token, Num | Quantity) else ()


def _chosen(tokens: Sequence[Token]) -> tuple[Token, ...]:
    """Return the tokens with a doubtful number settled by the same number said again, clearly."""
    if len(tokens) < 2 or not isinstance(tokens[-1], Num | Quantity):
        return tuple(tokens)
    last = tokens[-1]
    for at, token in enumerate(tokens[:-1]):
        if not isinstance(token, Num | Quantity) or not token.alternatives:
            continue
        if last.value in {token.value, *token.alternatives} and not last.alternatives:
            settled = replace(token, value=last.value, alternatives=())
            return (*tokens[:at], settled, *tokens[at + 1 : -1])
    return tuple(tokens)


def _both(tokens: tuple[Token, ...], at: int, text: str, context: AskContext) -> Answer:
    """Return both readings of a number and one question, unless only one can be answered."""
    token = tokens[at]
    assert isinstance(token, Num | Quantity)
    readings = (token.value, *token.alternatives)
    found = [(value, _answer(_with(tokens, at, value), text, context)) for value in readings]
    good = [
        (value, a) for value, a in found if a.numbers or a.verdict not in {None, Verdict.UNKNOWN}
    ]
    if len(good) < 2:
        return good[0][1] if good else found[0][1]
    unit = token.unit if isinstance(token, Quantity) else ""
    lines = tuple(
        say("{reading}: {answer}", reading=Qty(value, unit), answer=a.lines[0]) for value, a in good
    )
    choices = tuple(say("{reading}", reading=Qty(value, unit)) for value, _ in good)
    return Answer(
        lines,
        read_as=say("a number that can be read two ways"),
        question=say("Which number?"),
        choices=choices,
        sources=good[0][1].sources,
    )


def _with(tokens: tuple[Token, ...], at: int, value: float) -> tuple[Token, ...]:
    token = tokens[at]
    assert isinstance(token, Num | Quantity)
    return (*tokens[:at], replace(token, value=value, alternatives=()), *tokens[at + 1 :])


def _answer(tokens: Sequence[Token], text: str, context: AskContext) -> Answer:
    """Return the answer of the first rank that has one."""
    found: list[Answer] = []
    rank: Rank | None = None
    for topic in topics():
        if found and topic.rank is not rank:
            break
        try:
            answer = topic.answered(tokens, text, context)
        except KitchenError as error:
            answer = refused(error)
        if answer is not None:
            found.append(cleared(answer, text, tokens, context))
            rank = topic.rank
    if not found:
        return _unknown()
    return found[0] if len(found) == 1 else _which(found)


def refused(error: KitchenError) -> Answer:
    """Return an error as an answer: what is wrong, and what would be right."""
    fields = {name: _told(value) for name, value in error.fields.items()}
    if isinstance(error, CannotPlanError):
        values = {name: _told(value) for name, value in error.values.items()}
        fields["why"] = Line(error.why, values)
    hint = (say(error.hint),) if error.hint else ()
    return Answer((Line(error.template, fields), *hint))


def _told(value: object) -> Value:
    """Return a value of an error as a line takes it; words as they are, to be translated."""
    match value:
        case bool():
            return str(value)
        case str() | int() | Qty():
            return value
        case float():
            return Qty(value, "")
        case _:
            return Label(str(value))


def _unknown() -> Answer:
    text = say(
        "{verdict}: I don't know that. Ask me amounts, brines, yields, packs, fuel, core"
        " temperatures or food safety.",
        verdict=Verdict.UNKNOWN,
    )
    return Answer((text,), verdict=Verdict.UNKNOWN)


def _which(answers: list[Answer]) -> Answer:
    """Return one question back, its choices being how each answer had read the words."""
    readings = tuple(answer.read_as or answer.lines[0] for answer in answers)[:4]
    return Answer(
        (say("I can read that more than one way."),), question=say("Which one?"), choices=readings
    )
