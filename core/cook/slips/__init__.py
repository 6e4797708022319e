"""What goes wrong on the day: consequences first, one tap, then exactly those concerned are told.

| File | What it holds |
|---|---|
| `book.py` | `SlipsBook`: what the facts of this area amount to, and how each is booked |
| `force.py` | the cards as they stand now: weather as seen, who is there, what is lent |
| `offered.py` | `Offer`: something to do about it, with its whole plan; the offers of a moment |
| `asking.py` | the question with its consequences, the tap, a silent chef |
| `fires.py` | a fire, lane or box down, slow or back; food that must leave a fire |
| `supplies.py` | gas, power, water |
| `weather.py` | wind, rain and cold as one switch |
| `people.py` | somebody missing, arriving or leaving |
| `food.py` | pieces dropped, tubs missed, deliveries short or warm, a swap, still frozen |
| `leaving.py`, `lanes.py` | where food on a dead fire goes; guests waiting at the lanes left |
| `noplan.py`, `resized.py` | why there is no plan and what would make one; loads made smaller |
| `late.py` | a report that makes food late: the chef's question |
| `telling.py`, `owed.py` | who hears of a new plan; the calls of slips |
| `record.py` | each fact as a line of the log |
| `heads.py` | the table of ticks and crosses for another head count |
| `holding.py` | a speech first; the plan after service was held |
| `cures.py` | troubles with a known cure and nothing to re-plan |
| `undoing.py` | who must hear that something was taken back |
| `decided.py` | the dispatch: one wish, its file |

What is true is booked at once (a fire that is down is down); what to *do* about it waits for the
tap of somebody allowed. Until then re-plans of single reports leave the open slip out, so that no
load wanders off by itself.
"""
