"""Heads to plates: who eats what when the count moves, what is spare, how many portions to make."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from core.errors import OutOfRangeError
from core.model import Dish, Event, MenuItem

SPARE = 0.05
"""Spare on a dish when the card says nothing; common practice."""

SPARE_OF_FEW = 0.12
"""Spare on the dish of a minority, the vegetable main; common practice, 10 to 15 %."""

SPARE_OF_FEW_FLOOR = 4
"""Never fewer spare plates of it than this; common practice."""

RESERVE = 1 / 16
"""Raw in the cold beyond the eaters where a card fixes how many are cooked; common practice."""

FEW = 0.25
"""Up to this part of the heads is a minority."""

_SLICES_THAT_STRETCH = 4  # one slice fewer of 4 or more still is a portion
_EXACT = 1e-9  # 0.1 * 60 must not make 7


def _up(value: float) -> int:
    return ceil(value - _EXACT)


def split_groups(event: Event) -> Iterator[tuple[MenuItem, ...]]:
    """Yield the runs of menu items that share the heads out: 52 lamb and 8 celeriac of 60."""
    run: list[MenuItem] = []
    for item in event.menu:
        if item.heads is None or item.on_demand:
            continue
        run.append(item)
        total = sum(x.heads or 0 for x in run)
        if total >= event.heads:
            if total == event.heads and len(run) > 1:
                yield tuple(run)
            run = []


def eaters(event: Event, heads: int) -> dict[str, int]:
    """Heads that eat each dish when `heads` are fed in all.

    The small groups of a split grow first and are rounded up, because a vegetarian without a
    plate is worse than a steak too many; the largest group takes the rest, so that the split
    still adds up.

    Parameters
    ----------
    event
        The card; its own `heads` is what the split was written for.
    heads
        People to feed, 0 or more.

    Returns
    -------
    dict[str, int]
        By dish id. A dish on demand has none, a dish without heads or share everyone.

    Raises
    ------
    OutOfRangeError
        If `heads` is negative.

    Notes
    -----
    Common practice.

    Examples
    --------
    >>> from datetime import date
    >>> menu = (MenuItem("steak", heads=282), MenuItem("mushroom", heads=38))
    >>> party = Event("x", "X", date(2026, 10, 9), "Europe/Madrid", 320, menu, ())
    >>> eaters(party, 365)
    {'steak': 321, 'mushroom': 44}
    """
    if heads < 0:
        raise OutOfRangeError("heads", heads, "0 or more")
    ratio = heads / event.heads if event.heads else 0.0
    found = {item.dish: _alone(item, heads, ratio) for item in event.menu}
    for group in split_groups(event):
        largest = max(group, key=lambda item: item.heads or 0)
        small = {x.dish: min(_up((x.heads or 0) * ratio), heads) for x in group if x is not largest}
        found |= small
        found[largest.dish] = max(heads - sum(small.values()), 0)
    return found


def _alone(item: MenuItem, heads: int, ratio: float) -> int:
    if item.on_demand:
        return 0
    if item.heads is not None:
        return _up(item.heads * ratio)
    return heads if item.share is None else _up(item.share * heads)


def spare_plates(eating: int, heads: int, spare: float | None) -> int:
    """Plates made beyond the eaters of a dish.

    Parameters
    ----------
    eating, heads
        Eaters of this dish, and people in all.
    spare
        Fraction from the card; None means the usual: 5 %, and for a dish of few 12 % and never
        under 4 plates.

    Notes
    -----
    Common practice.

    Examples
    --------
    >>> spare_plates(60, 60, 0.10), spare_plates(282, 320, None), spare_plates(8, 60, None)
    (6, 15, 4)
    """
    if eating == 0:
        return 0
    if spare is not None:
        return _up(eating * spare)
    if eating <= FEW * heads:
        return max(_up(eating * SPARE_OF_FEW), SPARE_OF_FEW_FLOOR)
    return _up(eating * SPARE)


def portions_to_make(event: Event, dish: Dish, item: MenuItem, heads: int) -> int:
    """Portions of a menu item to make for `heads` people.

    A `make` on the card is the chef's number and stands while it still feeds those who eat the
    dish; a dish cut in slices may be stretched by one slice each. Beyond that the eaters win. A
    `make` for everyone grows with the heads, and never shrinks below the card.

    Returns
    -------
    int
        Whole portions.

    Examples
    --------
    >>> from datetime import date
    >>> from core.model import Batch
    >>> lamb = Dish("lamb", "Lamb", Batch(4, "pieces"), cuts=5)
    >>> rows = (MenuItem("lamb", heads=52, make=56), MenuItem("celeriac", heads=8))
    >>> party = Event("x", "X", date(2026, 6, 13), "Europe/London", 60, rows, ())
    >>> portions_to_make(party, lamb, rows[0], 60), portions_to_make(party, lamb, rows[0], 68)
    (56, 56)
    """
    if item.on_demand:
        return item.make or 0
    eating = eaters(event, heads)[item.dish]
    if item.make is None:
        return eating + spare_plates(eating, heads, item.spare)
    if item.heads is None and item.share is None:
        grown = _up(item.make * heads / event.heads) if event.heads else item.make
        return max(grown, item.make)
    return item.make if _least(dish, eating) <= item.make else eating


def _least(dish: Dish, eating: int) -> int:
    """Return the fewest pieces that still feed the eaters: a slice less each, if there are many."""
    if dish.cuts and dish.cuts >= _SLICES_THAT_STRETCH:
        return _up(eating * (dish.cuts - 1) / dish.cuts)
    return eating


def portions_to_prepare(event: Event, dish: Dish, item: MenuItem, heads: int) -> int:
    """Portions of a menu item to buy for, brine and season; never fewer than are cooked.

    Where the card fixes how many are cooked of a dish with its own eaters, one in sixteen more
    lies raw in the cold, for the guests who were not announced.

    Examples
    --------
    >>> from datetime import date
    >>> from core.model import Batch
    >>> steak = Dish("steak", "Steak", Batch(10, "pieces"))
    >>> rows = (MenuItem("steak", heads=282, make=288), MenuItem("mushroom", heads=38))
    >>> party = Event("x", "X", date(2026, 10, 9), "Europe/Madrid", 320, rows, ())
    >>> portions_to_prepare(party, steak, rows[0], 320)
    300
    """
    cooked = portions_to_make(event, dish, item, heads)
    if item.on_demand or item.make is None or (item.heads is None and item.share is None):
        return cooked
    least = _least(dish, eaters(event, heads)[item.dish])
    return max(cooked, _up(least * (1 + RESERVE)))


def after_no_shows(heads: int, low: float, high: float) -> tuple[int, int]:
    """Return the fewest and the most who come, for a no-show share of `low` to `high`.

    Examples
    --------
    >>> after_no_shows(300, 0.05, 0.10)
    (270, 285)
    """
    if not 0 <= low <= high < 1:
        raise OutOfRangeError("no-shows", f"{low}-{high}", "from 0 up to below 1")
    return round(heads * (1 - high)), round(heads * (1 - low))


def plates_worth(
    adults: int, under_tens: int, over_seventies: int = 0, teenagers: int = 0
) -> float:
    """Adult plates that a mixed crowd eats.

    Notes
    -----
    Common practice: under ten 0.5, over seventy 0.75, teenagers 1.25.

    Examples
    --------
    >>> plates_worth(100, under_tens=20)
    110.0
    """
    if min(adults, under_tens, over_seventies, teenagers) < 0:
        raise OutOfRangeError("heads", "below 0", "0 or more")
    return adults + 0.5 * under_tens + 0.75 * over_seventies + 1.25 * teenagers
