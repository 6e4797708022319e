"""A draft and what was said of it: filled, refused, shown, saved."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from bot.cards import CardsError, dish_in
from bot.cards.writing import dish_text
from bot.kitchen.events import built, context_of, fitted, mistakes, shown_event
from bot.kitchen.talk import Done, Said, told
from bot.naming import nameless_texts, names_of
from core.facts import (
    CardKind,
    CardSaved,
    DraftOpened,
    DraftResumed,
    DraftSaid,
    DraftShelved,
    KitchenFact,
)
from core.model import Answer, Label, Line, Qty, say
from core.trial.asking import field_named, fields_of, missing, next_field
from core.trial.book import Draft
from core.trial.dish import dish_of
from core.trial.event import too_many
from core.trial.fields import Field, Kind, Tap
from core.trial.goods import slug
from core.trial.reading import Filled, NotMine, Refused, Sheet, read_answer
from core.trial.sense import senseless
from core.trial.shown import card_lines, caution, value_line
from core.words.atoms import folded

SAVE = Field(
    "save", Kind.WORD, (), say("save"),
    say("Save it? Or say what is wrong, like: thickness 3 cm"),
    (Tap(say("save"), "save", ("save", "save it", "yes", "ok", "guarda", "guardar", "si")),
     Tap(say("not yet"), "wait", ("not yet", "no", "wait", "todavia no", "aun no"))),
)  # fmt: skip
SAVE_EVENT = say("Save it? Or say what is wrong, like: heads 80")
_SAVES = frozenset({"save", "save it", "guarda", "guardar"})
STOPS = frozenset({"stop", "para", "pause", "pausa", "dejalo", "later", "luego"})
GOES_ON = frozenset({"go on", "sigue", "seguir", "continue", "continua", "resume"})


def opened(said: Said, kind: CardKind, name: str, more: Mapping[str, str]) -> Done:
    """Begin a draft and ask its first question."""
    lang = more.get("lang", said.host.lang)
    values = {"lang": lang, "currency": said.host.currency, **more}
    if name:
        values["name"] = name[:60]
    draft = f"{kind.value}-{said.id}"
    fact = DraftOpened(draft, kind, values)
    known = said.book.card(kind, slug(name)) if name else None
    lines = [say("{name}: one question at a time. 'stop' shelves it.", name=Label(name or "-"))]
    if next_field(kind, values) is None:
        lines = []
    if known is not None:
        lines.append(say("There is one: this will be version {n}.", n=known.version + 1))
    answer, key = asked(said, draft, kind, values, lines)
    return Done(answer, (fact,), lang, key)


def asked(
    said: Said, draft: str, kind: CardKind, values: Mapping[str, str], lines: list[Line]
) -> tuple[Answer, str]:
    """Return the lines with the next question behind them; the whole card when none is left."""
    each = next_field(kind, values)
    if each is None:
        shown = [*lines, *shown_card(said, kind, values)]
        choices = tuple(tap.line for tap in SAVE.taps)
        ask = SAVE.ask if kind is CardKind.DISH else SAVE_EVENT
        return Answer(tuple(shown), question=ask, choices=choices), f"kitchen/{draft}/save"
    taps = tuple(tap.line for tap in fitted(said, each, values).taps)
    return Answer(tuple(lines), question=each.ask, choices=taps), f"kitchen/{draft}/{each.name}"


def shown_card(said: Said, kind: CardKind, values: Mapping[str, str]) -> tuple[Line, ...]:
    """Return a card as it stands, with what the food rules or the plan say of it."""
    if kind is CardKind.EVENT:
        return shown_event(said, values)
    lines = card_lines(values, values.get("currency", ""))
    warned = caution(values)
    return (warned, *lines) if warned is not None else lines


def answered(said: Said, draft: Draft) -> Done | None:
    """Return what a plain answer does to a draft; None if it is not about it."""
    plain = " ".join(folded(said.text).strip(" .!?").split())
    if plain in STOPS:
        line = say("{name} is shelved. 'go on' takes it up again.", name=Label(draft.name))
        return _done(said, draft, Answer((line,)), (DraftShelved(draft.id),))
    if plain in GOES_ON:
        answer, key = asked(said, draft.id, draft.kind, draft.values, [])
        return _done(said, draft, answer, (), key)
    current = next_field(draft.kind, draft.values) or SAVE
    read = _read(said, draft, plain, current)
    match read:
        case NotMine():
            return None
        case Refused(line=line, about=about):
            return _again(said, draft, [line], about or current)
        case Filled(values=values) if values.get("save") == "save":
            return saved(said, draft)
        case Filled(values=values) if values.get("save") == "wait":
            tip = say("Say what is wrong, like: thickness 3 cm. 'save' keeps it.")
            return _done(said, draft, told(tip), ())
        case Filled(values=values, doubts=doubts):
            return _filled(said, draft, values, list(doubts))


def _read(said: Said, draft: Draft, plain: str, current: Field) -> Filled | Refused | NotMine:
    fields = fields_of(draft.kind)
    if said.tapped is not None:
        of, name, number = said.tapped
        each = SAVE if name == "save" else field_named(draft.kind, name)
        each = fitted(said, each, draft.values) if each is not None else None
        if of != draft.id or each is None or not 1 <= number <= len(each.taps):
            return NotMine()
        tap = each.taps[number - 1]
        if each.kind is not Kind.SERIES:
            return Filled({each.name: tap.value})
        said_as = tap.words[0]
        return read_answer(said_as, Sheet(fields, draft.values, each, said.host.lang))
    saves = next((t.value for t in SAVE.taps if plain in t.words), None)
    if saves is not None and (current is SAVE or plain in _SAVES):
        return Filled({"save": saves})
    now_asked = None if current is SAVE else fitted(said, current, draft.values)
    context = context_of(said, draft.values)
    sheet = Sheet(fields, draft.values, now_asked, said.host.lang, context)
    return read_answer(said.text, sheet)


def _filled(said: Said, draft: Draft, values: Mapping[str, str], doubts: list[Line]) -> Done:
    """Book what was filled in, unless it cannot be; echo it, and ask what is next."""
    now = {**draft.values, **values}
    crowded = too_many(now) if draft.kind is CardKind.EVENT else None
    if crowded is not None:
        return _again(said, draft, [crowded], field_named(draft.kind, "menu") or SAVE)
    wrong = senseless(now) if draft.kind is CardKind.DISH else None
    if wrong is not None:
        return _again(said, draft, [wrong[1]], field_named(draft.kind, wrong[0]) or SAVE)
    whole = next_field(draft.kind, now) is None  # then the card itself shows how it was read
    lines = doubts if whole else doubts + _echoes(draft, values)
    answer, key = asked(said, draft.id, draft.kind, now, lines)
    return _done(said, draft, answer, (DraftSaid(draft.id, dict(values)),), key)


def _again(said: Said, draft: Draft, lines: list[Line], each: Field) -> Done:
    """Say what cannot be, and ask that again."""
    taps = tuple(tap.line for tap in fitted(said, each, draft.values).taps)
    answer = Answer(tuple(lines), question=each.ask, choices=taps)
    return _done(said, draft, answer, (), f"kitchen/{draft.id}/{each.name}")


def unread(said: Said, draft: Draft) -> Done:
    """Say that a line was not read, and ask again what was asked."""
    line = say("I read nothing in '{text}' for {name}.", text=Label(said.text[:40]),
               name=Label(draft.name or "-"))  # fmt: skip
    answer, key = asked(said, draft.id, draft.kind, draft.values, [line])
    return _done(said, draft, answer, (), key)


def _echoes(draft: Draft, values: Mapping[str, str]) -> list[Line]:
    """Return how an answer was read, each number with its unit."""
    line: Line | None = None
    currency = draft.values.get("currency", "")
    for name, value in values.items():
        each = field_named(draft.kind, name)
        shown = value_line(each, value, currency) if each is not None else None
        if each is None or shown is None:
            continue
        counted = each.kind in {Kind.COUNT, Kind.DAY, Kind.SPLIT}  # '4 pieces' says what it is
        one = shown if counted else say("{title} {value}", title=each.title, value=shown)
        line = one if line is None else say("{one}, {other}", one=line, other=one)
    return [say("{what}.", what=line)] if line is not None else []


def saved(said: Said, draft: Draft) -> Done:
    """Save a card: written, read back, and only then kept."""
    lacks = missing(draft.kind, draft.values)
    if lacks:
        line = say("Not yet: {n} to go.", n=Qty(len(lacks), "answers", 0))
        answer, key = asked(said, draft.id, draft.kind, draft.values, [line])
        return _done(said, draft, answer, (), key)
    card = slug(draft.name)
    names: dict[str, str] = {}
    try:
        if draft.kind is CardKind.EVENT:
            cards, texts = built(said, draft.values)
            names = names_of(cards)
        else:
            texts = {f"{card}.toml": dish_text(dish_of(draft.values, card))}
            dish_in(f"{card}.toml", texts[f"{card}.toml"])
    except CardsError as bad:
        return _done(said, draft, Answer(mistakes(bad.errors)), ())
    version = said.book.next_version(draft.kind, card)
    fact = CardSaved(draft.kind, card, version, nameless_texts(texts), draft.id)
    line = say("{name} saved, version {n}.", name=Label(draft.name), n=version)
    tip = say("'card {name}' shows it, 'edit {name}' changes it.", name=Label(draft.name))
    if draft.kind is CardKind.EVENT:
        tip = say("'/cook {name}' starts it.", name=Label(draft.name))
    done = _done(said, draft, Answer((line, tip)), (fact,))
    return replace(done, names=tuple(names.items()))


def resumed(said: Said, draft: Draft) -> Done:
    """Go on with a draft that was shelved or left."""
    line = say("{name}, where we were.", name=Label(draft.name))
    answer, key = asked(said, draft.id, draft.kind, draft.values, [line])
    return _done(said, draft, answer, (DraftResumed(draft.id),), key)


def _done(
    said: Said, draft: Draft, answer: Answer, facts: tuple[KitchenFact, ...], key: str = ""
) -> Done:
    del said
    return Done(answer, facts, draft.values.get("lang"), key)
