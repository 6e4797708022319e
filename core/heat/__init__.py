"""When to look, what it should read, how far it carries. Read downwards.

composition.py  heat properties of food from what it is made of
air.py          vapour at a wet surface, wet bulb, boiling at altitude
shape.py        how round a piece is: the shape exponent, by table
mesh.py         finite volumes over half the smallest dimension, as modes
constant.py     constant surroundings: exact in time
course.py       what happens around a piece: the fire's log, wrapping, flips, the rest
march.py        an ensemble through a cook: Crank-Nicolson, a drying surface, boiling
prior.py        what is assumed of a fire and a piece, in eight unknowns
fit.py          the most likely cook behind a few readings, and how sure that is
ahead.py        the ensemble onwards: when it is there, how far each member carries over
rise.py         carry-over by practice and model, set-back of a first pull, thickness
pit.py          the fire as the crew knows it; when it is back up
readings.py     which readings can be used, and why not the others
card.py         a card's own test calibrates the model: `house`, `time_to_core`, `core_after`
estimate.py     the live forecast: `estimate`
plateau.py      what if it is wrapped, the fire fails or is turned up
cooling.py      a pan cooling in air or on ice: `cooling_forecast`
cold.py         thawing, tempering, cold boxes
learn.py        what each pulled load says adds up to the next prior of that fire and cut
timing.py       steps timed by the house's cooks, the card's test, or the model

A forecast follows one path: `estimate` takes the card through `house`, the readings through
`sort_readings`, `believable` and `fitted`, the ensemble through `onward` and `carried`, and words
nothing but doubts; the conversation does the talking. Nothing here ever clears food: only readings
do.
"""
