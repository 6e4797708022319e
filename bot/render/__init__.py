"""Lines, answers and errors to words: translated, numbers the reader's way, no markup.

A `Line` is an English template with typed values. Its template is the message id; the values are
formatted here and nowhere else, so that the same plan reads '1.5 kg' and '1,5 kg'.

| File | What it holds |
|---|---|
| `catalogue.py` | the translations: every `locale/<lang>/LC_MESSAGES/parts/*.po` as one |
| `numbers.py` | numbers, units and ranges as they are read |
| `clock.py` | instants as site time, with the day where it is another |
| `lines.py` | a line with its values, in one language or stacked in several |
| `answers.py` | answers and errors, verdict first, four lines |
"""

from __future__ import annotations

from bot.render.answers import render_answer, render_error
from bot.render.lines import PUSH_LONGEST, over_length, render, stacked

__all__ = [
    "PUSH_LONGEST",
    "over_length",
    "render",
    "render_answer",
    "render_error",
    "stacked",
]
