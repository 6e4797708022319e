"""What is in it: by ingredient, from the batch made; brands swapped; things put in instead."""

from __future__ import annotations

from dataclasses import dataclass

from core.allergens import Swap, allergen_answer, asked_tokens, swap_answer
from core.allergens.contents import dishes_using
from core.allergens.words import NAMES, implied
from core.ask.names import matching
from core.ask.safety_said import phrases
from core.ask.said import Said
from core.ask.topic import AskContext
from core.model import Answer, Label, Line, Source, Verdict, say
from core.scaling.measures import folded
from core.words import Word

NAMES_ONLY = Source("names", "what the name of a food says", "", "common practice")


@dataclass(frozen=True, slots=True)
class ContainsQuestion:
    """Which allergens, in which dish (None: the menu); `unnamed` where a dish was not found."""

    tokens: tuple[str, ...]
    dish: str | None
    food: str
    unnamed: bool = False


_CUES = phrases(
    "asks, ask, contain, contains, any, free, sin, lleva, llevan, contiene, tiene, hay, "
    "alergia, alergico, alergica, allergy, allergic, safe, coeliac, celiac, celiaco, celiaca, "
    "pregunta, has, got, is there, with, con, apto, apta, intolerant, intolerante, no, what "
    "has, in"
)
_NOT = phrases(
    "how_much, how_long, left_out, delivery, brine, boil, dress, reheat, chill, costing, off, "
    "on fire"
)


def read_contains(line: Said, context: AskContext) -> ContainsQuestion | None:
    """Read 'guest asks egg or mustard in slaw', 'celery?', 'lleva huevo la ensalada?'."""
    tokens = asked_tokens(line.text)
    if not tokens or _measures(line) or line.has(*_NOT):
        return None
    alone = not [w for w in _other_words(line, tokens) if w not in {"?", "hay", "any"}]
    if not (alone or line.says(*_CUES) or line.text.rstrip().endswith("?")):
        return None
    dish, unnamed = _dish(line, tokens, context)
    return ContainsQuestion(tokens, dish, line.text, unnamed)


def _measures(line: Said) -> bool:
    kinds = ("mass", "volume", "length", "time", "percent", "power")
    return any(line.amounts(kind) for kind in kinds) or bool(line.people()) or bool(line.bare())


def _other_words(line: Said, tokens: tuple[str, ...]) -> list[str]:
    del tokens
    words = (t.text.casefold() for t in line.tokens if isinstance(t, Word))
    return [w for w in words if not asked_tokens(w)]


def _dish(line: Said, tokens: tuple[str, ...], context: AskContext) -> tuple[str | None, bool]:
    """Return the dish named beside the allergens; True where one was meant but not found."""
    del tokens
    dishes = context.cards.dishes if context.cards else ()
    names = {dish.name: dish.id for dish in dishes}
    asked = {w for token in line.tokens if isinstance(token, Word)
             for w in folded(token.text).split() if asked_tokens(token.text)}  # fmt: skip
    found = [name for name in matching(line, names) if not _only_by(name, asked, line)]
    longer = [n for n in names if found and _words(n) > _words(found[0])]
    if len(found) == 1 and not longer:
        return names[found[0]], False
    return None, False  # 'green sauce' may be 'Green sauce F' on the next table: all are answered


def _words(name: str) -> set[str]:
    return set(folded(name.replace("-", " ")).split())


def _only_by(name: str, asked: set[str], line: Said) -> bool:
    """Say whether a dish was matched by the allergen's own word alone: 'mustard?' is no dish."""
    words = set(folded(name.replace("-", " ")).split())
    typed = {w for t in line.tokens if isinstance(t, Word) for w in folded(t.text).split()}
    return bool(words & typed) and (words & typed) <= asked


def answer_contains(question: ContainsQuestion, context: AskContext) -> Answer:
    """Answer from the cards and the batch made; without cards only YES can be said."""
    if context.cards is None:
        return _by_name(question)
    return allergen_answer(
        context.cards, context.made, question.tokens, context.rules, question.dish
    )


def _by_name(question: ContainsQuestion) -> Answer:
    surely, maybe = implied(question.food)
    named = [t for t in ("celery",) if t in surely and "celeriac" in folded(question.food)]
    asked = Label(question.food.strip(" ?¿!"))
    if named:
        text = say("{verdict}. Celeriac is celery.", verdict=Verdict.YES)
        return Answer((text,), Verdict.YES, sources=(NAMES_ONLY,))
    del maybe
    names = _listed(question.tokens)
    lines = (
        say("{verdict}. {allergen}: I have no cards and no labels. Don't serve, ask the chef.",
            verdict=Verdict.NOT_CONFIRMED, allergen=names),
        say("Celeriac is celery; stock cubes often hold it."),
    )  # fmt: skip
    shown = lines if "celery" in question.tokens else lines[:1]
    return Answer(shown, Verdict.NOT_CONFIRMED, read_as=say("what is in: {food}", food=asked))


def _listed(tokens: tuple[str, ...]) -> Line:
    whole = NAMES[tokens[0]]
    for token in tokens[1:]:
        whole = say("{list}, {next}", list=whole, next=NAMES[token])
    return whole


# ------------------------------------------------------------------ another brand


@dataclass(frozen=True, slots=True)
class SwapQuestion:
    """Another brand of this is in use."""

    ingredient: str


_BRAND = phrases(
    "brand, diff brand, different brand, other brand, new brand, marca, otra marca, marca "
    "nueva, marca distinta, new label, swapped, different label, otra etiqueta, supplier "
    "changed, otro proveedor, substitute, sustituto"
)
_NOT_FOOD = frozenset(phrases("tub, box, pack, case, tray, pan, now, more, on, at, from, off"))


def read_swap(line: Said, context: AskContext) -> SwapQuestion | None:
    """Read 'new mayo tub diff brand', 'mayonesa nueva de otra marca'."""
    if not line.says(*_BRAND) or line.amounts("mass") or line.has("how_much"):
        return None
    known = [t.text for t in line.tokens if isinstance(t, Word) and t.known
             and t.canonical not in _NOT_FOOD]  # fmt: skip
    words = [t.text for t in line.tokens if isinstance(t, Word)]
    cards = context.cards
    on_cards = [w for w in words if cards and len(w) > 2 and dishes_using(cards, w)]
    named = on_cards or known
    return SwapQuestion(named[0]) if named else None


def answer_swap(question: SwapQuestion, context: AskContext) -> Answer:
    """Answer that its dishes are not confirmed until a label photo is."""
    if context.cards is None:
        lines = (
            say(
                "{verdict}: allergens of everything with {what}, until the label is photographed"
                " and confirmed.",
                verdict=Verdict.NOT_CONFIRMED,
                what=Label(question.ingredient),
            ),
            say("Tell the lane: ask the chef."),
        )
        return Answer(
            lines,
            Verdict.NOT_CONFIRMED,
            question=say("Photo of the label?"),
            choices=(say("photo"),),
        )
    return swap_answer(context.cards, context.made, Swap(question.ingredient))


# ------------------------------------------------------------------ something else put in


@dataclass(frozen=True, slots=True)
class InsteadQuestion:
    """Something with allergens is to go in instead of something else."""

    tokens: tuple[str, ...]


_USE = phrases(
    "use, instead, replace with, swap for, swap with, usar, uso, usamos, en vez, en lugar, "
    "cambiar por, sustituir, pongo, ponemos"
)


def read_instead(line: Said, context: AskContext) -> InsteadQuestion | None:
    """Read 'no tahini use peanut butter?', 'sin tahini, uso crema de cacahuete?'."""
    del context
    if not line.says(*_USE) or _measures(line) or line.has("left_out", "leftovers"):
        return None
    after = next(
        (line.plain.split(f" {use} ", 1)[1] for use in _USE if f" {use} " in line.plain), ""
    )
    surely, maybe = implied(after)
    tokens = tuple(token for token in NAMES if token in surely | maybe)
    return InsteadQuestion(tokens) if tokens else None


def answer_instead(question: InsteadQuestion, context: AskContext) -> Answer:
    """Answer STOP: it changes the sign, and only the chef may."""
    del context
    lines = (
        say(
            "{verdict}: {list} is an allergen that is not on the sign. Don't.",
            verdict=Verdict.STOP,
            list=_listed(question.tokens),
        ),
        say("Leave it out instead: less is safe, other is not. Chef only."),
    )
    return Answer(lines, Verdict.STOP, sources=(NAMES_ONLY,))
