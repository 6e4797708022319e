"""How many pieces go on a grate: rectangles in rows, both ways, the larger taken.

Areas are never divided: 64 steaks that would cover a grate do not fit it. The gap belongs to the
piece, on both sides of it, and a strip kept free for flares comes off the longer side first.
A number measured on the card (`fits`) beats any of this.
"""

from __future__ import annotations

from math import floor

from core.errors import OutOfRangeError
from core.model import Dish, Size, Station, StationKind

GAP_CM = 2.0
"""Air between two pieces, cm; common practice."""

_EXACT = 1e-9  # 0.85 * 60 / 3 must count as 17, not 16


def pieces_in_rows(grate: Size, piece: Size, gap_cm: float = GAP_CM) -> int:
    """Pieces in straight rows, width along width.

    Parameters
    ----------
    grate, piece
        Rectangles, cm.
    gap_cm
        Air counted with every piece, cm.

    Examples
    --------
    >>> pieces_in_rows(Size(60, 45), Size(20, 12))
    6
    """
    across = floor(grate.width_cm / (piece.width_cm + gap_cm) + _EXACT)
    deep = floor(grate.depth_cm / (piece.depth_cm + gap_cm) + _EXACT)
    return across * deep


def pieces_per_grate(
    grate: Size, piece: Size, gap_cm: float = GAP_CM, keep_free: float = 0.0
) -> int:
    """Pieces on one grate or rack, laid whichever way holds more.

    Parameters
    ----------
    grate, piece
        Rectangles, cm.
    gap_cm
        Air counted with every piece, cm.
    keep_free
        Fraction of the grate left empty, a strip across the longer side; 0 <= f < 1.

    Returns
    -------
    int
        Whole pieces; 0 if not even one fits.

    Raises
    ------
    OutOfRangeError
        If a size is not above 0, the gap is negative or `keep_free` is not in [0, 1).

    Examples
    --------
    >>> pieces_per_grate(Size(60, 45), Size(20, 12))
    8
    >>> pieces_per_grate(Size(60, 45), Size(20, 12), keep_free=0.15)
    6
    """
    for name, size in (("grate", grate), ("piece", piece)):
        if not (size.width_cm > 0 and size.depth_cm > 0):
            raise OutOfRangeError(name, f"{size.width_cm} x {size.depth_cm} cm", "above 0 cm")
    if not gap_cm >= 0:
        raise OutOfRangeError("gap", f"{gap_cm} cm", "0 cm or more")
    if not 0 <= keep_free < 1:
        raise OutOfRangeError("keep_free", keep_free, "0 or more and below 1")
    long_side = max(grate.width_cm, grate.depth_cm) * (1 - keep_free)
    usable = Size(long_side, min(grate.width_cm, grate.depth_cm))
    turned = Size(piece.depth_cm, piece.width_cm)
    return max(pieces_in_rows(usable, piece, gap_cm), pieces_in_rows(usable, turned, gap_cm))


def measured_fit(dish: Dish, station: Station) -> int | None:
    """Return what the card says fits one rack or batch of this station; id beats family, kind."""
    for name in (station.id, station.family, station.kind.value):
        if name and name in dish.fits:
            return dish.fits[name]
    return None


def pieces_per_rack(dish: Dish, station: Station) -> int | None:
    """Pieces of this dish on one rack of this station; None if neither card nor sizes say.

    Examples
    --------
    >>> from core.model import Batch, Piece, StationKind
    >>> rump = Dish("lamb", "Lamb", Batch(4, "pieces"), piece=Piece(footprint=Size(20, 12)))
    >>> pieces_per_rack(rump, Station("G1", StationKind.GRILL, size=Size(45, 60)))
    8
    """
    measured = measured_fit(dish, station)
    if measured is not None:
        return measured
    if station.size is not None and dish.piece.footprint is not None:
        return pieces_per_grate(station.size, dish.piece.footprint, keep_free=station.keep_free)
    return None if station.kind is StationKind.RING else station.places  # a ring's are pots


def pieces_per_load(dish: Dish, station: Station) -> int | None:
    """Pieces of this dish that go on this station together; None if nothing says.

    A station loaded rack by rack takes one rack at a time, any other all its racks at once.
    """
    rack = pieces_per_rack(dish, station)
    if rack is None:
        return None
    return rack if station.load_by == "rack" else rack * max(station.racks, 1)
