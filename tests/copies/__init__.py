"""Several copies of the process on one PostgreSQL: killed, stopped and replaced at work.

`wire.py` is a platform that outlives them, `copy.py` the life of one, `crew.py` starts, kills and
counts.
"""
