"""The test kitchen: a card captured in a chat, one question at a time.

| File | What it holds |
|---|---|
| `book.py` | drafts and saved cards, replayed from the house's stream |
| `fields.py` | what can be asked: its kind, its names in both languages, its taps |
| `dish_fields.py`, `event_fields.py` | the fields of a dish and of an event, in the order asked |
| `reading.py` | a sloppy answer to the fields it fills |
| `series.py` | cores over time: '5 12, 10 19, 20 30, 31 47' |
| `days.py` | dates and times of day: '13 June', 'sábado', '14:00-15:30' |
| `sense.py` | what cannot be: after heavier than before, a core above its fire |
| `asking.py` | what a draft still lacks, and the next question |
| `dish.py` | from what was said to a dish; yields and costs computed |
| `shown.py` | a card in a few lines |
| `event.py` | from what was said to an event |
| `told.py` | these facts as lines of a log |
"""
