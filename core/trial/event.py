"""From what was said to an event: the party as asked, the rest as the event it is like."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date

from core.model import (
    Cards,
    Dish,
    Emergency,
    Event,
    Label,
    Line,
    MenuItem,
    Moment,
    Profile,
    Qty,
    Service,
    Travel,
    say,
)
from core.trial.days import WEEKDAYS
from core.trial.event_fields import LAST


def menu_of(values: Mapping[str, str]) -> tuple[MenuItem, ...]:
    """Return the menu: heads, a share, or everybody.

    Examples
    --------
    >>> [(m.dish, m.heads, m.share) for m in menu_of({"menu": "lamb=52;salad=;dip=60 %"})]
    [('lamb', 52, None), ('salad', None, None), ('dip', None, 0.6)]
    """
    items = []
    for part in values["menu"].split(";"):
        dish, _, many = part.partition("=")
        if many.endswith("%"):
            items.append(MenuItem(dish, share=float(many.rstrip(" %")) / 100))
        else:
            items.append(MenuItem(dish, heads=int(many) if many else None))
    return tuple(items)


def _moment(text: str) -> Moment:
    hour, minute = text.split(":")
    return Moment(0, int(hour), int(minute))


def _serve(values: Mapping[str, str]) -> Service:
    start, _, until = values["window"].partition("-")
    pace = values["pace"]
    return Service(
        start=_moment(start),
        until=_moment(until) if until else None,
        per_min=None if pace == "at once" else float(pace),
        at_once=pace == "at once",
    )


def _emergency(values: Mapping[str, str], like: Event) -> Emergency | None:
    if values["emergency"] == LAST:
        return like.emergency
    number, address, gate = values["emergency"].split("|")
    aider = like.emergency.first_aider if like.emergency else ""
    return Emergency(number, address, gate, aider)


def event_of(values: Mapping[str, str], event_id: str, like: Event) -> Event:
    """Return the event of a draft.

    What holds for one party alone (pins, guests, weather, travel, tables) is not taken over; zone,
    languages, currency, house limits and slack are.
    """
    profile = like.profile if values["profile"] == LAST else Profile(values["profile"])
    return replace(
        like,
        id=event_id,
        name=values["name"],
        day=date.fromisoformat(values["day"]),
        heads=int(values["heads"]),
        tables=None,
        menu=menu_of(values),
        serve=(_serve(values),),
        profile=profile,
        pins=(),
        guests=(),
        weather=(),
        sunset=None,
        travel=Travel(),
        emergency=_emergency(values, like),
    )


def dishes_for(menu: Iterable[MenuItem], known: Mapping[str, Dish]) -> tuple[Dish, ...]:
    """Return the menu's dishes and every card they are made from."""
    found: dict[str, Dish] = {}
    waiting = [item.dish for item in menu]
    while waiting:
        name = waiting.pop(0)
        if name in known and name not in found:
            found[name] = known[name]
            waiting += [x.card for x in known[name].ingredients if x.card]
    return tuple(found.values())


def too_many(values: Mapping[str, str]) -> Line | None:
    """Return what is wrong with a split: more eat a dish than there are heads."""
    if "menu" not in values or "heads" not in values:
        return None
    heads = int(values["heads"])
    for item in menu_of(values):
        if item.heads is not None and item.heads > heads:
            return say("{dish} for {n}, but {heads} in all. Which is wrong?", dish=Label(item.dish),
                       n=Qty(item.heads, "heads", 0), heads=Qty(heads, "heads", 0))  # fmt: skip
    return None


def event_lines(cards: Cards) -> tuple[Line, ...]:
    """Return an event in two lines: the party, and its menu."""
    event = cards.event
    first = event.serve[0]
    head = say("{name}, {weekday} {day}: {heads}, plates {start}.", name=Label(event.name),
               weekday=WEEKDAYS[event.day.weekday()], day=Label(f"{event.day:%Y-%m-%d}"),
               heads=Qty(event.heads, "heads", 0), start=Label(str(first.start)))  # fmt: skip
    menu = " · ".join(_dish_words(item, cards) for item in event.menu)
    return head, say("{menu}", menu=Label(menu))


def _dish_words(item: MenuItem, cards: Cards) -> str:
    name = cards.dish(item.dish).name
    if item.heads is not None:
        return f"{name} {item.heads}"
    return f"{name} {item.share:.0%}" if item.share is not None else name


__all__ = ["dishes_for", "event_lines", "event_of", "menu_of", "too_many"]
