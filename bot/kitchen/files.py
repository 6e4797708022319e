"""Files sent to the kitchen: cards checked and kept, recipes made into drafts; and cards sent out.

A file's own word on what it is counts for nothing: size and content do.
"""

from __future__ import annotations

from pathlib import PurePath

from bot.cards import CardsError, check_text, dish_in
from bot.cards.files import EVENT_FILES, LARGEST_BYTES
from bot.kitchen.drafting import opened
from bot.kitchen.events import mistakes
from bot.kitchen.talk import Done, Said, told
from bot.ports import Attached, Medium
from bot.recipes import LARGEST_BYTES as LARGEST_PAGE
from bot.recipes import Recipe, RecipeError, heaviest, recipe_in
from core.facts import CardKind, CardSaved
from core.model import Label, Line, Qty, say
from core.trial.book import KitchenBook
from core.trial.goods import slug

CARDS = frozenset({".toml"})
PAGES = frozenset({".json", ".jsonld", ".html", ".htm"})
MOST_SHOWN = 6
TOML = "application/toml"


def of_the_kitchen(file: Attached) -> bool:
    """Say whether a file is one the kitchen reads, by its name."""
    return PurePath(file.name).suffix.casefold() in CARDS | PAGES


def too_large(file: Attached, size: int) -> Line | None:
    """Return a refusal of a file that is larger than a card or a page can be."""
    most = LARGEST_BYTES if PurePath(file.name).suffix.casefold() in CARDS else LARGEST_PAGE
    if size <= most:
        return None
    return say(
        "{name} has {size}: more than {most} is no card.",
        name=Label(file.name[:60]),
        size=Qty(round(size / 1e6, 1), "MB"),
        most=Qty(round(most / 1e6, 1), "MB"),
    )


def taken(said: Said, file: Attached, content: bytes) -> Done:
    """Return what a file makes: a saved card, its mistakes, or a draft."""
    refused = too_large(file, len(content))
    if refused is not None:
        return Done(told(refused))
    if PurePath(file.name).suffix.casefold() in CARDS:
        return _card(said, PurePath(file.name).name[:80], content)
    try:
        return _draft(said, recipe_in(file.name[:60], content))
    except RecipeError as bad:
        why = Line(bad.why)
        return Done(told(say("No recipe in {name}: {why}.", name=Label(file.name[:60]), why=why)))


def _card(said: Said, name: str, content: bytes) -> Done:
    """Keep a dish card that has no mistake; of an event's other files only say whether they do."""
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return Done(told(say("{name} is not UTF-8 text: save it as UTF-8.", name=Label(name))))
    errors = check_text(name, text)
    if errors:
        return Done(told(*mistakes(errors)))
    if name in EVENT_FILES:
        return Done(told(say("{name}: no mistakes.", name=Label(name)),
                         say("An event is kept whole: say new event and its name.")))  # fmt: skip
    path = f"{slug(PurePath(name).stem)}.toml"
    try:
        dish = dish_in(path, text)
    except CardsError as bad:
        return Done(told(*mistakes(bad.errors)))
    version = said.book.next_version(CardKind.DISH, dish.id)
    fact = CardSaved(CardKind.DISH, dish.id, version, {f"{dish.id}.toml": text})
    line = say("{name} saved, version {n}.", name=Label(dish.name), n=version)
    return Done(told(line), (fact,))


def _draft(said: Said, recipe: Recipe) -> Done:
    """Begin a card from a recipe: what was read is shown, what was not is said, the rest asked."""
    main = heaviest(recipe.goods)
    others = [good for good in recipe.goods if good is not main]
    values = {"lang": said.host.lang}
    if main is not None:
        values |= {"bought": f"{main.qty:.6g} kg", "main": main.name}
    if others:
        kept = (f"{_plain(g.name)}={g.qty:.6g} {g.unit}" for g in others)
        values["goods"] = ";".join(kept)
    done = opened(said, CardKind.DISH, recipe.name, values)
    lines = [*_read_lines(recipe, main.name if main else None), *done.answer.lines[1:]]
    answer = told(*lines, question=done.answer.question, choices=done.answer.choices)
    return Done(answer, done.facts, done.lang, done.key)


def _read_lines(recipe: Recipe, main: str | None) -> tuple[Line, ...]:
    goods = ", ".join(f"{g.name} ← {g.line}" for g in recipe.goods[:MOST_SHOWN])
    head = say("{name}: a recipe, nothing in it measured by us.", name=Label(recipe.name))
    lines = [head, say("Read: {goods}", goods=Label(goods or "-"))]
    if main is not None:
        lines.append(say("Taken as the main thing: {name}. Wrong? Say: bought 978 g",
                         name=Label(main)))  # fmt: skip
    if recipe.unread:
        left = ", ".join(f"'{line}'" for line in recipe.unread[:MOST_SHOWN])
        lines.append(say("Not read, left out: {lines}", lines=Label(left)))
    if recipe.cook_min is not None:
        lines.append(say("It says {time} of cooking, without pit or core: not taken.",
                         time=Qty(round(recipe.cook_min), "min")))  # fmt: skip
    if recipe.yields:
        lines.append(say("It says it makes: {yields}", yields=Label(recipe.yields[:40])))
    return tuple(lines)


def _plain(name: str) -> str:
    return "".join(c for c in name if c not in '=;"\\')[:80]


def document(book: KitchenBook, name: str) -> Medium | None:
    """Return a saved card's file by the name a message gives it; None if it is not there."""
    parts = name.split("/")
    if len(parts) < 4 or parts[0] != "house" or parts[1] not in tuple(CardKind):
        return None
    card = book.cards.get((CardKind(parts[1]), parts[2]))
    text = card.texts.get("/".join(parts[4:])) if card is not None else None
    if text is None:
        return None
    return Medium(parts[-1], TOML, text.encode(), parts[-1])
