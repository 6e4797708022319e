"""Saved cards: listed, shown, copied, edited, retired."""

from __future__ import annotations

from bot.cards import dish_in
from bot.kitchen.drafting import opened, shown_card
from bot.kitchen.talk import Done, Said, told
from bot.phrases.kitchen import KitchenSaid
from core.cook.learning import MEASURES
from core.cook.learning import shown as measure_shown
from core.errors import UnknownNameError
from core.facts import CardKind, CardRetired
from core.model import Answer, Label, Line, Qty, say
from core.trial.book import Saved
from core.trial.goods import slug
from core.words.atoms import folded

MOST_LISTED = 30
MOST_MEASURED = 4


def shelved(said: Said, wish: KitchenSaid) -> Done:
    """Return what is wished of saved cards."""
    match wish.what:
        case "dishes":
            return listed(said, CardKind.DISH)
        case "events":
            return listed(said, CardKind.EVENT)
    card = found(said, wish.name)
    if card is None:
        return Done(told(_unknown(said, wish.name)))
    match wish.what:
        case "retire-card":
            line = say("{name} is retired: it is offered no more.", name=Label(card.card))
            return Done(told(line), (CardRetired(card.kind, card.card),))
        case "edit-card":
            return edited(said, card)
        case "copy-card":
            return copied(said, card, wish.other)
        case _:
            return shown(said, card)


def listed(said: Said, kind: CardKind) -> Done:
    """Return the cards of a kind, each with its version."""
    cards = said.book.offered(kind)
    if not cards and kind is CardKind.DISH:
        return Done(told(say("No dish is saved yet. Say: new dish lamb rump")))
    if not cards:
        return Done(told(say("No event is saved yet. Say: new event supper")))
    names = " · ".join(f"{c.card} v{c.version}" for c in cards[:MOST_LISTED])
    return Done(told(say("{names}", names=Label(names)), say("'card' and a name shows one.")))


def found(said: Said, name: str) -> Saved | None:
    """Return the offered card that is called so, a dish before an event."""
    for kind in CardKind:
        card = said.book.card(kind, slug(name))
        if card is not None:
            return card
    wanted = folded(name)
    every = [c for kind in CardKind for c in said.book.offered(kind)]
    near = [c for c in every if wanted and wanted in folded(c.card.replace("-", " "))]
    return near[0] if len(near) == 1 else None


def _unknown(said: Said, name: str) -> Line:
    every = [c.card for kind in CardKind for c in said.book.offered(kind)]
    known = Label(", ".join(every[:12]) or "-")
    return Line(UnknownNameError.template, {"kind": "card", "name": Label(name), "known": known})


def shown(said: Said, card: Saved) -> Done:
    """Return a card in a few lines, and its file."""
    draft = said.book.drafts.get(card.draft)
    head = say("{name}, version {n}.", name=Label(card.card), n=card.version)
    lines = shown_card(said, card.kind, draft.values) if draft is not None else ()
    folder = f"house/{card.kind.value}/{card.card}/{card.version}"
    files = tuple(f"{folder}/{path}" for path in card.texts)
    return Done(Answer((head, *lines, *_measured(said, card))), documents=files)


def _measured(said: Said, card: Saved) -> tuple[Line, ...]:
    """Return what the house has measured of a dish and its goods, beside what the card says."""
    if card.kind is not CardKind.DISH:
        return ()
    names = {card.card}
    for path, text in card.texts.items():
        names |= {good.name.casefold() for good in dish_in(path, text).ingredients}
    mine = [k for k in said.measured if k.subject.split("/")[0].casefold() in names]
    return tuple(
        say("House, {cooks}: {subject} {kind} {value}.", cooks=Qty(k.cooks, "cooks", 0),
            subject=Label(k.subject), kind=MEASURES[k.kind], value=measure_shown(k.kind, k.value))
        for k in mine[:MOST_MEASURED]
    )  # fmt: skip


def edited(said: Said, card: Saved) -> Done:
    """Open a card that was captured here again; one that came as a file is sent as a file."""
    draft = said.book.drafts.get(card.draft)
    if draft is None:
        return Done(told(say("{name} came as a file: send it again, changed.",
                             name=Label(card.card))))  # fmt: skip
    return opened(said, card.kind, draft.name, {**draft.values, "lang": said.host.lang})


def copied(said: Said, card: Saved, name: str) -> Done:
    """Open a copy under another name."""
    draft = said.book.drafts.get(card.draft)
    if draft is None:
        return Done(told(say("{name} came as a file: send it again under the new name.",
                             name=Label(card.card))))  # fmt: skip
    return opened(said, card.kind, name, {**draft.values, "name": name, "lang": said.host.lang})
