"""What goes wrong on the day: consequences first, one tap, then exactly those concerned are told.

| File | What it holds |
|---|---|
| `book.py` | `SlipsBook`: what the facts of this area amount to, and how each is booked |
| `force.py` | the cards as they stand now: weather as seen, who is there, what is lent |
| `offered.py` | `Offer`: something to do about it, with its whole plan; the offers of a moment |
| `asking.py` | the question with its consequences, the tap, whom to tell, a silent chef |
| `costs.py` | what moves and what does not: elastic, tied to plates, tied to the world |
| `fires.py` | a fire, lane or box down, slow or back; food that must leave a fire |
| `supplies.py` | gas, power, water |
| `weather.py` | wind, rain and cold as one switch |
| `people.py` | somebody missing, arriving or leaving |
| `food.py` | pieces dropped, tubs missed, deliveries short or warm, a swap, still frozen |
| `heads.py` | the table of ticks and crosses for another head count |
| `holding.py` | service held and restarted |
| `cures.py` | troubles with a known cure and nothing to re-plan |
| `undoing.py` | who must hear that something was taken back |
| `decided.py` | the dispatch: one wish, its file |

What is true is booked at once (a fire that is down is down); what to *do* about it waits for the
tap of somebody allowed. Until then re-plans of single reports leave the open slip out, so that no
load wanders off by itself.
"""
