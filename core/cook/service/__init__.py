"""Service, people and silence: plates counted, holds, timers, who hears what and who does not.

* `book`      the service as its facts made it: `ServiceBook`, `serviced`
* `silence`   mute, quiet hours, budgets: which calls ring, which wait, which stay in the room
* `mute`      'shut up till 2'
* `timers`    named timers beside the plan
* `counts`    plates counted out and in; what is made, out and left
* `forecast`  pace, when it runs out, how short, which portion would do
* `portions`  a smaller portion, offered and applied
* `boxes`     which load goes out first; what stands out since when
* `holds`     lightning, speech: nothing goes out, clocks run on
* `leftovers` what is left at the end: keep or bin
* `closing`   the close: nothing open behind a shut door
* `asked`     how many left, catch me up, who moved plates, which box first
* `plates`    '210 out', 'lane 1 80', a line 30 deep
* `morning`   the six lines of the morning after; `review` its five questions
* `owed`      the calls all these make
* `decided`   wishes of this area to decisions

Nothing is imported here: `core.cook.state` reads `book` while it is itself being read.
"""
