"""The plan as pictures for a phone in the sun: black on white, tall digits, nothing by colour.

* `face`      the one typeface of pictures and paper, and what of a text it can show
* `board`     a white board of pixels to write and draw on; the only file that knows the library
* `actions`   what comes next in a plan: one row for each moment somebody must act
* `card`      the plan card: version, plates, the next five actions
* `bars`      which bar stands in which row of the timeline, and what is written beside it
* `placing`   where each bar stands and its label is written
* `timeline`  the bars drawn: stations, loads, temperatures, people, slack, the plates line
"""

from bot.pictures.card import plan_card
from bot.pictures.timeline import timeline

__all__ = ["plan_card", "timeline"]
