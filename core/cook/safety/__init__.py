"""The safety of a cook: what the log says of it, what follows from it now, what is owed for it.

* `book`    what is booked: batches, labels, doubted thermometers, the sick, lifts, alarms
* `decided` a safety wish to facts, an answer, and who else must hear
* `probes`  thermometers in doubt, and which readings still count
* `made`    batches as made and brands swapped, for every answer on allergens
* `labels`  labels shown, read and agreed on
* `crew`    who is sick, and the food they touched
* `lifts`   a verdict lifted by the chef and a second person
* `alarms`  alarms to every phone
* `gaps`    meat between two fires
* `clocks`  food in boxes, opened, on the table and pink off the fire, with its deadlines
* `air`     how warm it is
* `after`   what safety adds to a report or a reading
* `said`    verdicts as they go into the log
* `record`  each of its facts as a line
* `watch`   what those say now and next: calls, findings, keep or bin at the end
"""
