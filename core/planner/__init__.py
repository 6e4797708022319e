"""Before the day: count back from plates to every load; on the day: count on from what is true.

| File | What it holds |
|---|---|
| `jobs.py` | the planner's own nouns, in minutes |
| `origin.py`, `durations.py`, `demand.py`, `crewing.py` | minutes, lengths, appetite, people |
| `kitchen.py` | the cards with look-ups: stations of a step, pins, hours |
| `validate.py` | what cannot be, said before anything is planned |
| `steps.py`, `loading.py`, `build.py` | cards to ops, ops to loads, all dishes to one problem |
| `board.py` | what is taken, and where one more op still fits |
| `backward.py`, `forward.py`, `prepfirst.py`, `listing.py` | the list scheduler |
| `assemble.py`, `around.py` | minutes back to a plan; fires, lanes, travel, breaks |
| `turns.py`, `judge.py`, `bottleneck.py` | who eats of which load, findings, the slowest link |
| `planning.py` | `plan` |
| `truth.py`, `repair.py`, `replanning.py` | the day so far, what it moves, `replan` |
| `staging.py` | loads no bigger than the next fire takes within the gap |
| `rescue.py` | on the day, where there is no plan: what breaks first, what would make one |
| `levers.py`, `relief.py`, `explaining.py`, `booking.py` | what would help, why not, for how many |
| `check/` | an independent judge of plans |
| `options.py` | what can be done about a slip, each a whole plan |
| `sharpen.py`, `scoring.py`, `engine/` | the exact engine, asked for late; what plans are worth |
| `changing.py` | `changes`: what a new plan moves, for whom |

Everything is pure and gives the same plan for the same cards.
"""

from __future__ import annotations

from core.planner.booking import Capacity, capacity
from core.planner.changing import Changes, Moved, changes
from core.planner.check import Violation, check
from core.planner.explaining import Diagnosis, explain, impossible
from core.planner.judge import where
from core.planner.options import Option, options, rerouted
from core.planner.planning import plan
from core.planner.replanning import replan
from core.planner.rescue import Rescue, rescue

__all__ = [
    "Capacity",
    "Changes",
    "Diagnosis",
    "Moved",
    "Option",
    "Rescue",
    "Violation",
    "capacity",
    "changes",
    "check",
    "explain",
    "impossible",
    "options",
    "plan",
    "replan",
    "rerouted",
    "rescue",
    "where",
]
