"""The typeface of pictures and paper: DejaVu Sans, which comes with the drawing library."""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path

MISSING = "?"


@cache
def face_path(*, bold: bool = False) -> Path:
    """Return the font file."""
    import matplotlib

    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name


@cache
def _known() -> frozenset[int]:
    """Return the code points that both weights can draw."""
    from matplotlib.ft2font import FT2Font

    faces = [FT2Font(str(face_path(bold=bold))) for bold in (False, True)]
    return frozenset.intersection(*(frozenset(face.get_charmap()) for face in faces))


def shown(text: str) -> str:
    """Return a text as the face can show it, on one line: what it cannot draw becomes '?'.

    Examples
    --------
    >>> shown("Lucía\\n46 °C")
    'Lucía 46 °C'
    """
    flat = " ".join(unicodedata.normalize("NFC", text).split())
    return "".join(c if ord(c) in _known() and c.isprintable() else MISSING for c in flat)
