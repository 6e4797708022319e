"""A white board of pixels to write and draw on in black; the only file that knows the library.

Measures are pixels, y counts from the top. A text's size is its em: a digit of the face is 0.73 of
it tall. Texts are drawn as they are: nothing in a dish's name is taken for markup.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from io import BytesIO
from typing import TYPE_CHECKING, Any

from bot.pictures.face import face_path, shown

if TYPE_CHECKING:
    from matplotlib.figure import Figure

DPI = 100
GREYS = 16
ELLIPSIS = "…"
DIGIT = 0.729
"""Height of a digit as part of the em, DejaVu Sans."""


@dataclass(slots=True)
class Board:
    """A picture in the making."""

    width: int
    height: int
    _figure: Figure = field(init=False)
    _renderer: Any = field(init=False)

    def __post_init__(self) -> None:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure

        size = (self.width / DPI, self.height / DPI)
        self._figure = Figure(figsize=size, dpi=DPI, facecolor="white", edgecolor="white")
        self._renderer = FigureCanvasAgg(self._figure).get_renderer()  # type: ignore[no-untyped-call]

    # -------------------------------------------------------------- words

    def wide(self, text: str, em: float, *, bold: bool = True) -> float:
        """Return how wide a text is, px."""
        if not text:
            return 0.0
        width, _, _ = self._renderer.get_text_width_height_descent(
            shown(text), _font(em, bold), ismath=False
        )
        return float(width)

    def text(
        self,
        x: float,
        top: float,
        text: str,
        em: float,
        *,
        bold: bool = True,
        align: str = "left",
        paper: bool = False,
    ) -> None:
        """Write one line; `top` is the top of its capitals, `paper` a white ground behind it."""
        ground = {"facecolor": "white", "edgecolor": "none", "pad": 1.5} if paper else None
        self._figure.text(
            x,
            self.height - top - em * DIGIT,
            shown(text),
            transform=None,
            fontproperties=_font(em, bold),
            color="black",
            ha=align,
            va="baseline",
            parse_math=False,
            bbox=ground,
            zorder=5,
        )

    def fitted(self, text: str, em: float, width: float, *, bold: bool = True) -> str:
        """Return a text cut, with an ellipsis, to what goes into a width."""
        if self.wide(text, em, bold=bold) <= width:
            return text
        low, high = 0, len(text)
        while low < high:
            middle = (low + high + 1) // 2
            cut = text[:middle].rstrip() + ELLIPSIS
            low, high = (
                (middle, high) if self.wide(cut, em, bold=bold) <= width else (low, middle - 1)
            )
        return text[:low].rstrip() + ELLIPSIS

    def wrapped(
        self, text: str, em: float, width: float, most: int, *, bold: bool = True
    ) -> tuple[str, ...]:
        """Return a text broken between words into at most `most` lines.

        What does not fit is left out before the last word: that one is the load's name.
        """
        lines = self.broken(text, em, width, bold=bold)
        if len(lines) <= most:
            return lines
        *rest, last = text.split()[sum(len(x.split()) for x in lines[: most - 1]) :]
        left = width - self.wide(f" {last}", em, bold=bold) - em / 10
        if left < self.wide(ELLIPSIS, em, bold=bold):
            return (*lines[: most - 1], self.fitted(last, em, width, bold=bold))
        cut = self.fitted(f"{' '.join(rest)} {last}", em, left, bold=bold)
        return (*lines[: most - 1], f"{cut} {last}")

    def broken(self, text: str, em: float, width: float, *, bold: bool = True) -> tuple[str, ...]:
        """Return a text broken between words into as many lines as it takes."""
        lines: list[str] = []
        for word in text.split():
            longer = f"{lines[-1]} {word}" if lines else word
            if lines and self.wide(longer, em, bold=bold) <= width:
                lines[-1] = longer
            else:
                lines.append(self.fitted(word, em, width, bold=bold))
        return tuple(lines)

    # -------------------------------------------------------------- lines and boxes

    def line(
        self,
        x0: float,
        y0: float,
        x1: float,
        y1: float,
        thick: float,
        *,
        dotted: bool = False,
    ) -> None:
        """Draw a straight line, behind the boxes."""
        from matplotlib.lines import Line2D

        style = (0.0, (1.0, 3.0)) if dotted else (0.0, ())
        ends = ([x0, x1], [self.height - y0, self.height - y1])
        self._figure.add_artist(
            Line2D(*ends, color="black", linewidth=_points(thick), linestyle=style,
                   transform=None, solid_capstyle="butt", zorder=1)
        )  # fmt: skip

    def box(
        self,
        left: float,
        top: float,
        width: float,
        height: float,
        *,
        edge: float = 4,
        hatch: str = "",
        fill: str = "white",
        dashed: bool = False,
    ) -> None:
        """Draw a box, hatched or filled."""
        from matplotlib.patches import Rectangle

        self._figure.add_artist(
            Rectangle((left, self.height - top - height), width, height, facecolor=fill,
                      edgecolor="black", linewidth=_points(edge), hatch=hatch,
                      linestyle=(0, (2, 2)) if dashed else "solid", transform=None, zorder=2)
        )  # fmt: skip

    def png(self) -> bytes:
        """Return the picture in 16 greys; the same picture is always the same bytes."""
        import numpy as np
        from matplotlib import rc_context
        from PIL import Image

        with rc_context({"hatch.linewidth": 2.0}):
            self._figure.canvas.draw()
        pixels = np.asarray(self._renderer.buffer_rgba())[..., 0]
        picture = Image.fromarray(np.ascontiguousarray(pixels)).quantize(GREYS)
        out = BytesIO()
        picture.save(out, format="PNG", optimize=True)
        return out.getvalue()


def _points(px: float) -> float:
    return px * 72 / DPI


def _font(em: float, bold: bool) -> Any:
    from matplotlib.font_manager import FontProperties

    return FontProperties(fname=str(face_path(bold=bold)), size=_points(em))
