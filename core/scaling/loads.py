"""A dish's pieces into loads, lots and batches: as many full ones as fit, the partial one last.

A load is what goes on its first fire together. Earlier steps run in lots (a tub, a tray), later
fires in batches. Nothing is spread out evenly: a full rack cooks as it was tested.
"""

from __future__ import annotations

from math import ceil

from core.errors import OutOfRangeError
from core.model import Dish, Event, MenuItem, Station, Step
from core.scaling.heads import portions_to_make

DISPLACED_L_PER_KG = 0.95
"""Litres of brine that a kg of meat pushes aside; common practice (meat is 1.05 kg/L)."""

_EXACT = 1e-9


def pieces_of_portions(dish: Dish, portions: float) -> int:
    """Whole pieces that make so many portions.

    A portion counted in slices is what `cuts` gives: the card then says so in pieces ("1 piece").
    A dish that is weighed out has its portions as pieces.

    Examples
    --------
    >>> from core.model import Batch
    >>> slabs = Dish("c", "Celeriac", Batch(8, "pieces"), portion=Batch(2, "pieces"))
    >>> pieces_of_portions(slabs, 10)
    20
    """
    if not portions >= 0:
        raise OutOfRangeError("portions", portions, "0 or more")
    each = dish.portion.amount if dish.portion and dish.portion.unit == "pieces" else 1.0
    return ceil(portions * each - _EXACT)


def pieces_to_cook(event: Event, dish: Dish, item: MenuItem, heads: int) -> int:
    """Return the pieces of a menu item that go on the fire for so many heads."""
    return pieces_of_portions(dish, portions_to_make(event, dish, item, heads))


def full_first(count: int, capacity: int) -> tuple[int, ...]:
    """Split a count into full loads and a partial last one.

    Parameters
    ----------
    count
        Pieces, 0 or more.
    capacity
        Pieces that fit together, 1 or more.

    Examples
    --------
    >>> full_first(300, 72)
    (72, 72, 72, 72, 12)
    >>> full_first(56, 28)
    (28, 28)
    """
    if count < 0:
        raise OutOfRangeError("pieces", count, "0 or more")
    if capacity < 1:
        raise OutOfRangeError("pieces that fit", capacity, "1 or more")
    full, rest = divmod(count, capacity)
    return (capacity,) * full + ((rest,) if rest else ())


def brine_l_per_piece(dish: Dish) -> float:
    """Litres of what is poured away again (`eaten = false`) that go with one piece.

    Examples
    --------
    >>> from core.model import Batch, Ingredient
    >>> brine = Ingredient("water", parts=4, fill_to_l=0.9, eaten=False)
    >>> brine_l_per_piece(Dish("lamb", "Lamb", Batch(4, "pieces"), ingredients=(brine,)))
    0.225
    """
    if dish.batch.unit != "pieces" or not dish.batch.amount:
        return 0.0
    marks = [i.fill_to_l for i in dish.ingredients if not i.eaten and i.fill_to_l]
    weighed = [i.qty or 0.0 for i in dish.ingredients if not i.eaten and i.unit == "L"]
    return (max(marks, default=0.0) + sum(weighed)) / dish.batch.amount


def pieces_per_tub(dish: Dish, tub: Station) -> int | None:
    """Pieces that fit one tub with their brine, never above `fill_max`.

    Parameters
    ----------
    dish
        Its piece has a weight and its card the brine.
    tub
        Its `litres` and the fraction of them that may be used.

    Returns
    -------
    int | None
        None where weight or litres are unknown.

    Examples
    --------
    >>> from core.model import Batch, Ingredient, Piece, StationKind
    >>> brine = Ingredient("water", parts=5, fill_to_l=1.9, eaten=False)
    >>> collar = Dish("pork", "Pork", Batch(10, "pieces"), piece=Piece(0.19), ingredients=(brine,))
    >>> pieces_per_tub(collar, Station("tub1", StationKind.TUB, litres=30))
    60
    """
    if tub.litres is None or not dish.piece.weight_kg:
        return None
    each_l = dish.piece.weight_kg * DISPLACED_L_PER_KG + brine_l_per_piece(dish)
    return int(tub.litres * tub.fill_max / each_l + _EXACT)


def lot_pieces(dish: Dish, step: Step, stations: tuple[Station, ...]) -> int | None:
    """Pieces in one lot of a step: as the card says, else as the tub holds; None if all go at once.

    A lot on the card in kg or L is turned into pieces by the weight or the portion of one.
    """
    if step.lot is not None:
        if step.lot_unit == "pieces":
            return max(int(step.lot + _EXACT), 1)
        each = dish.piece.weight_kg
        if each is None and dish.portion is not None and dish.portion.unit == step.lot_unit:
            each = dish.portion.amount
        return max(int(step.lot / each + _EXACT), 1) if each else None
    held = [n for n in (pieces_per_tub(dish, s) for s in stations) if n]
    return min(held, default=None)


def lots_of(
    dish: Dish, step: Step, count: int, stations: tuple[Station, ...] = ()
) -> tuple[int, ...]:
    """Return the lots a count runs in at a step before its first fire, partial one last."""
    pieces = lot_pieces(dish, step, stations)
    return (count,) if pieces is None or count <= pieces else full_first(count, pieces)
