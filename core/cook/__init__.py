"""On the day: one cook's state and what may happen to it.

* `state`    the cook as the facts made it: `Cook`, `evolve`, `replay`; the table `NEXT`
* `subjects` what a name said by the crew means: loads, batches, stations, tasks
* `decide`   a wish and the state to facts, an answer and who else must hear
* `readings` what a thermometer says; `forecast` the heat model's view of it
* `around`   a load's fire, lids, wraps and weather for the model; `lids` reports of them
* `left`     how long a load has left, in one line
* `learning` what a cook owes the house; `house_book`, `heat_book` what it holds of both
* `boxes`    cold and hot clocks of boxes; `cooling` of pots
* `plans`    plans with their hazards; `load_out` the van, ticked by several people
* `change`   what another head count or time for plates means, shown before it applies

`evolve` only books; every judgement is made in `decide` and stored as a fact.
"""

from core.cook.decide import Decision, Notice, decide
from core.cook.state import Cook, Job, Made, Open, Phase, evolve, progress, replay

__all__ = [
    "Cook",
    "Decision",
    "Job",
    "Made",
    "Notice",
    "Open",
    "Phase",
    "decide",
    "evolve",
    "progress",
    "replay",
]
