"""One question, one answer: number or verdict first, the reading echoed, never a silent pick.

topic.py    what a topic is, and what is known beside the words
topics.py   the table of topics
*_topics.py each reads words into typed questions and answers them with the engines below

`ask` tries the topics by rank. One reading is answered; two of the same rank are shown as
choices; none is an honest 'I don't know that'.
"""

from __future__ import annotations

from core.ask.topic import AskContext, Rank, Topic
from core.ask.topics import topics
from core.errors import KitchenError
from core.model import Answer, Label, Line, Value, Verdict, say

__all__ = ["AskContext", "Rank", "Topic", "ask"]

_LONGEST = 400  # characters; a question is a line, and what is longer is not read


def ask(text: str, context: AskContext) -> Answer:
    """Return the answer to one quick question; never raises for anything that can be typed."""
    from core.words import lex

    if len(text) > _LONGEST:
        return Answer((say("That is too long. Ask one short question."),))
    try:
        tokens = lex(text, context.lang)
    except KitchenError as error:
        return refused(error)
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
            found.append(answer)
            rank = topic.rank
    if not found:
        return _unknown()
    return found[0] if len(found) == 1 else _which(found)


def refused(error: KitchenError) -> Answer:
    """Return an error as an answer: what is wrong, and what would be right."""
    fields: dict[str, Value] = {
        name: value if isinstance(value, int) else Label(str(value))
        for name, value in error.fields.items()
    }
    hint = (say(error.hint),) if error.hint else ()
    return Answer((Line(error.template, fields), *hint))


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
