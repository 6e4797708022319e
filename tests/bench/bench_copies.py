"""Two copies on one PostgreSQL: how long a platform is silent when its copy dies or is replaced."""

from __future__ import annotations

import signal
import statistics
import tempfile
from collections.abc import Sequence
from pathlib import Path

from tests.bench.row import Row
from tests.copies.crew import crew, judge
from tests.postgres import running

TIMES = 6
GOAL_S = 5.0


def silences(url: str, folder: Path, by: int) -> list[float]:
    """End the holder again and again; return how long nobody answered, s. Nothing may be lost."""
    with crew(url, folder, seed=by) as copies:
        copies.ready(copies.start())
        found = []
        for _ in range(TIMES):
            copies.ready(copies.start())
            found.append(copies.gone(copies.holders()["pair"], by))
        copies.until("answered", copies.answered, typing=False)
        copies.stop()
        judge(copies)
    return found


def rows() -> Sequence[Row]:
    """Kill copies, then replace them in order."""
    made = []
    with running() as server, tempfile.TemporaryDirectory() as folder:
        for what, by in (("is killed", signal.SIGKILL), ("is replaced", signal.SIGTERM)):
            (at := Path(folder) / what.replace(" ", "-")).mkdir()
            found = silences(server.fresh(), at, by)
            made.append(
                Row(
                    f"a copy {what}, until the other one answers on its platforms",
                    f"median {statistics.median(found):.1f} s, worst {max(found):.1f} s",
                    f"{TIMES} times, nothing lost",
                    f"under {GOAL_S:.0f} s",
                    max(found) < GOAL_S,
                )
            )
    return made
