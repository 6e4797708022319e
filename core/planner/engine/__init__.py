"""The exact engine: the same problem as a constraint model, solved one aim after the other.

| File | What it holds |
|---|---|
| `solver.py` | the only file that knows the solver library; models, effort, answers |
| `horizon.py` | from when to when, in which ticks |
| `shop.py` | starts, lags, one fire one load one temperature, pools |
| `hands.py` | enough able people at every moment |
| `supply.py` | portions ready against portions wanted, on a grid; late, held, change-overs |
| `fifo.py` | the polish: first in, first out, to the half minute |
| `targets.py` | an event's aims: late, badly held, slack eaten, early, calls moved |
| `stations.py` | very many guests: kitchens side by side |
| `people.py` | who does what, breaks and all, the times being fixed |
| `run.py` | the whole: makespans, and plans for guests |

Nothing here is imported before it is asked for: the library takes a second to load.
"""
