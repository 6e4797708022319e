"""Safety rules: published limits, always read to the cautious side.

degrees.py   temperatures as read, limits as printed
rules.py     table rows as rules: whose, how sure, how cited
worst.py     which finding counts; no rule book set: the worst of all, each judged alone
food.py      a food as far as it is known: the set of what it may be
hold.py      seconds at temperature, interpolated between printed rows
heat_met.py  whether one row was met, by a reading or by a log
cooking.py   is it cooked?
pink.py      where meat may be served pink
words.py     words that findings share
"""
