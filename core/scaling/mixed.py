"""Pieces of several sizes on the same grate, laid out by a rectangle packer.

What is found can be laid so; that fewer loads are impossible is not shown. The packer is fetched
only when it is needed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from core.errors import OutOfRangeError
from core.model import Size
from core.scaling.packing import GAP_CM

PIECES_AT_MOST = 300
_MM = 10


@dataclass(frozen=True, slots=True)
class Sort:
    """So many pieces of one size."""

    count: int
    size: Size


def mixed_loads(
    grate: Size, sorts: Sequence[Sort], gap_cm: float = GAP_CM
) -> tuple[tuple[int, ...], ...] | None:
    """Loads of pieces of several sizes, each load as how many of each sort.

    Parameters
    ----------
    grate
        cm.
    sorts
        What goes on, 1 to 300 pieces in all; each may lie either way.
    gap_cm
        Air counted with every piece, cm, as for pieces of one size.

    Returns
    -------
    tuple or None
        The fewest loads that three placements found; None if a piece is larger than the grate.

    Raises
    ------
    OutOfRangeError
        If there are no pieces or more than 300, or a size is not above 0.

    Notes
    -----
    Jylänki, "A Thousand Ways to Pack the Bin" (2010): maximal rectangles, skyline, guillotine.

    Examples
    --------
    >>> mixed_loads(Size(120, 60), [Sort(20, Size(15, 11)), Sort(10, Size(20, 5))])
    ((20, 10),)
    >>> mixed_loads(Size(45, 60), [Sort(1, Size(200, 120))]) is None
    True
    """
    total = sum(sort.count for sort in sorts)
    if not 1 <= total <= PIECES_AT_MOST:
        raise OutOfRangeError("pieces", total, "from 1 to 300")
    for size in (grate, *(sort.size for sort in sorts)):
        if not (size.width_cm > 0 and size.depth_cm > 0):
            raise OutOfRangeError("size", f"{size.width_cm:g} x {size.depth_cm:g} cm", "above 0 cm")
    sides = [_millimetres(sort.size, gap_cm) for sort in sorts]
    floor_mm = (int(grate.width_cm * _MM + 1e-6), int(grate.depth_cm * _MM + 1e-6))
    if any(min(s) > min(floor_mm) or max(s) > max(floor_mm) for s in sides):
        return None
    return min(_layouts(floor_mm, sides, sorts), key=len)


def _millimetres(size: Size, gap_cm: float) -> tuple[int, int]:
    """Return the sides with their gap, whole mm, never rounded down."""
    sides = (size.width_cm, size.depth_cm)
    a, b = (ceil((side + gap_cm) * _MM - 1e-6) for side in sides)
    return a, b


def _layouts(
    floor_mm: tuple[int, int], sides: Sequence[tuple[int, int]], sorts: Sequence[Sort]
) -> list[tuple[tuple[int, ...], ...]]:
    import rectpack

    found = []
    for way in (rectpack.MaxRectsBssf, rectpack.SkylineBl, rectpack.GuillotineBssfSas):
        for order in (rectpack.SORT_AREA, rectpack.SORT_LSIDE):
            packer = rectpack.newPacker(pack_algo=way, sort_algo=order, rotation=True)
            for which, (sort, (a, b)) in enumerate(zip(sorts, sides, strict=True)):
                for _ in range(sort.count):
                    packer.add_rect(a, b, rid=which)
            packer.add_bin(*floor_mm, count=float("inf"))
            packer.pack()
            laid = [Counter(rect.rid for rect in load) for load in packer]
            if sum(load.total() for load in laid) == sum(sort.count for sort in sorts):
                found.append(tuple(tuple(c[i] for i in range(len(sorts))) for c in laid))
    return found
