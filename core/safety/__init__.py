"""Safety rules: published limits, always read to the cautious side.

| File | What it holds |
|---|---|
| `degrees.py` | temperatures as read, limits as printed |
| `rules.py` | table rows as rules: whose, how sure, how cited |
| `worst.py` | which finding counts; no rule book set: the worst of all, each judged alone |
| `food.py` | a food as far as it is known: the set of what it may be |
| `hold.py`, `heat_met.py` | seconds at temperature between printed rows; whether a row was met |
| `cooking.py`, `pink.py`, `ovens.py` | is it cooked, may it be pink, does the pit count |
| `clocks.py`, `holding.py` | food out of temperature, food found at one, dates and labels |
| `cooling.py`, `reheat.py` | both stages and when to ask; reheating once |
| `stages.py` | two fires, cooking in two goes |
| `goods.py`, `prep.py`, `kitchen.py` | deliveries, leftovers, marinades, thawing, drips, garlic |
| `tcs.py` | what needs control at all, by pH and water |
| `probes.py` | thermometers in doubt |
| `lethality.py`, `growth.py` | published models; they warn, they never clear |
| `site.py`, `crew.py` | fire, gas, CO, the emergency card; sick crew and heat |
| `lifting.py` | who may lift what |
| `hazards*.py`, `card_steps.py` | what is unsafe on cards and plan |
| `watch.py` | everything unsafe in a cook at an instant |
| `words.py` | words that findings share |

A finding's text starts with its verdict. C and C2 rows may clear, M and house rows never do.
"""
