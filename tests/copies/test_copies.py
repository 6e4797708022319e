"""Two copies on one PostgreSQL: whichever dies or is replaced, nothing is lost, nothing doubled."""

from __future__ import annotations

import signal
from pathlib import Path

import pytest

from tests.copies.crew import crew, judge
from tests.postgres import Postgres

KILLS, BATCHES = 30, 3
FAIL_OVER_S = 5.0


@pytest.mark.parametrize("batch", range(BATCHES))
def test_a_killed_copy_is_replaced_in_time_and_nothing_is_lost_or_doubled(
    batch: int, postgres: Postgres, tmp_path: Path
) -> None:
    with crew(postgres.fresh(), tmp_path, seed=batch) as copies:
        copies.ready(copies.start())
        silences = []
        for _ in range(KILLS // BATCHES):
            copies.ready(copies.start())
            holder = copies.holders()["pair"]
            silences.append(copies.gone(holder, signal.SIGUSR1))  # dies some ticks later
        copies.until("answered", copies.answered, typing=False)
        copies.stop()
        repeats = judge(copies)
    assert max(silences) < FAIL_OVER_S, silences
    assert repeats["screen"] <= KILLS // BATCHES * 2  # two rooms in flight at a kill at most


def test_a_rolling_update_repeats_nothing_and_loses_nothing(
    postgres: Postgres, tmp_path: Path
) -> None:
    with crew(postgres.fresh(), tmp_path, seed=99) as copies:
        copies.ready(copies.start())
        silences = []
        for _ in range(4):
            copies.ready(copies.start())
            holder = copies.holders()["pair"]
            silences.append(copies.gone(holder, signal.SIGTERM))
            assert copies.copies[holder].exitcode == 0
        copies.until("answered", copies.answered, typing=False)
        copies.stop()
        repeats = judge(copies)
    assert max(silences) < FAIL_OVER_S, silences
    assert repeats.total() == 0
