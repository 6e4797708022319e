"""A smaller soak in every test run; `python -m tests.soak` is the long one."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

KILLS = 50
FIRST_MORNING = "2026-06-13T08:00+00:00"


@pytest.mark.parametrize("database", ["sqlite", "postgres"])
def test_nothing_is_lost_and_doubles_are_marked_however_it_is_killed(database: str) -> None:
    # a process of its own: this one has threads, and what forks should not
    run = subprocess.run(
        [
            *(sys.executable, "-m", "tests.soak", "--json", "--until", FIRST_MORNING),
            *(database, str(KILLS), "8"),
        ],
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode == 0, run.stdout + run.stderr
    tally = json.loads(run.stdout)
    assert tally["kills"] >= KILLS
    assert tally["lost"] == []
    assert min(tally["steps_killed"], tally["days_killed"]) >= KILLS // 10
    assert tally["sends"] > 400
    assert tally["repeats_shown"] <= tally["kills"] * 3  # three rooms in flight at most
