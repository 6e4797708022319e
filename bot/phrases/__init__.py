"""What the crew can say: one table, read by `parse`, by `help` and by the slash names.

What is not surely a report, a reading or a change is not booked: it goes to the quick questions,
or comes back as one question with its choices.

| File | What it holds |
|---|---|
| `heard.py` | `Ear`, what can be meant now; what a line may turn out to be |
| `said.py` | a line with its time, its fillers and its doubts taken apart |
| `manners.py` | small words: what changes nothing, what puts a report in doubt |
| `subjects.py` | which load, batch, station or dish a name means |
| `deeds.py` | the verb of a report: begun, ended, moved, binned |
| `about.py` | what it is about, and what must be asked |
| `reports.py` | steps: on, off, flip, done |
| `lots.py` | so many of so many tubs |
| `moves.py` | food on another fire, or in the bin |
| `readings.py` | temperatures |
| `covers.py` | wrapped, covered, a lid opened; what the house keeps |
| `safety.py` | alarms, lifts, pink meat, the sick |
| `labels.py` | brands, labels, batches as made |
| `probes.py` | thermometers dropped, in ice, and what they showed |
| `weighing.py` | a line as plain words; does it weigh or count |
| `changes.py` | heads, plates, late |
| `slip_fires.py`, `slip_weather.py`, `slip_people.py`, `slip_food.py` | what goes wrong |
| `slip_rows.py` | their rows of the table |
| `short.py` | answers, taps and the words that stand alone |
| `service.py` | plates counted, what is left, holds, lines of guests |
| `quiet.py` | silence and timers |
| `when.py` | questions about the running cook |
| `service_rows.py` | the rows of these three |
| `kitchen.py` | cards begun, listed, shown, copied, retired |
| `table.py` | the table: slash name, words, examples, what it makes |
| `parse.py` | the table tried row by row |
| `helping.py` | the table as a few lines of help |
"""

from __future__ import annotations

from bot.phrases.heard import Asked, Ear, Heard, Nothing, Queried, Unclear, Wished
from bot.phrases.helping import help  # noqa: A004  (its name is what the crew types)
from bot.phrases.parse import parse
from bot.phrases.table import ROWS, SLASHES, Row

__all__ = [
    "ROWS",
    "SLASHES",
    "Asked",
    "Ear",
    "Heard",
    "Nothing",
    "Queried",
    "Row",
    "Unclear",
    "Wished",
    "help",
    "parse",
]
