"""Killed with SIGKILL at seeded points, again and again: what must never be lost or doubled.

`kitchen.py` is the life of one process, `reaper.py` ends it at a chosen tick, `stories.py` starts
the next one and counts, `python -m tests.soak` runs many and writes the report.
"""
