"""`python -m tests.soak [DATABASE] [KILLS] [SEED]`: what SIGKILL at random points loses: nothing.

DATABASE is sqlite, postgres or both; `--json` gives the tally of one for the test. The report of
the long run stands in REPORT.md beside this file.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import asdict
from itertools import count
from pathlib import Path

from tests.postgres import running
from tests.soak.day import tallied_day
from tests.soak.migrating import migrated
from tests.soak.stories import Tally, tallied

HEAD = (
    "| database | seed | kills, small kitchen | times gone through | messages | shown twice, marked"
    " | repeated, harmless | kills in a step of the tables | kills in the wedding's day | days | "
    "lost or wrong | s |\n" + "|---" * 12 + "|"
)


def row(tally: Tally, start: float) -> str:
    """Return one row of the report."""
    cells = (
        *(tally.database, tally.seed, tally.kills, tally.stories, tally.sends),
        *(tally.repeats_shown, tally.repeats_harmless, tally.steps_killed, tally.days_killed),
        *(tally.days, len(tally.lost), round(time.perf_counter() - start)),
    )
    return f"| {' | '.join(map(str, cells))} |"


@contextmanager
def databases(kind: str) -> Iterator[Callable[[], str]]:
    """Give what makes one empty database after the other."""
    with tempfile.TemporaryDirectory() as folder:
        if kind == "postgres":
            with running() as server:
                yield server.fresh
        else:
            numbers = count()
            yield lambda: str(Path(folder) / f"{next(numbers)}.db")


def main() -> int:
    """Run, report, and return 1 if anything was lost."""
    wanted = argparse.ArgumentParser(description=__doc__)
    wanted.add_argument("database", nargs="?", default="both")
    wanted.add_argument("kills", nargs="?", type=int, default=1000)
    wanted.add_argument("seed", nargs="?", type=int, default=1)
    wanted.add_argument("--until", default="2026-06-14T20:00+00:00", help="the day ends here")
    wanted.add_argument("--json", action="store_true")
    asked = wanted.parse_args()
    kinds = ("sqlite", "postgres") if asked.database == "both" else (asked.database,)
    lost: list[str] = []
    if not asked.json:
        print(HEAD, flush=True)
    for kind in kinds:
        start = time.perf_counter()
        with databases(kind) as fresh:
            tally = tallied(kind, fresh, asked.kills, asked.seed)
            migrated(tally, fresh, asked.kills // 10)
            tallied_day(tally, fresh, asked.kills // 10, asked.until)
        print(json.dumps(asdict(tally)) if asked.json else row(tally, start), flush=True)
        lost += tally.lost
    print("\n".join(lost), file=sys.stderr)
    return 1 if lost else 0


if __name__ == "__main__":
    sys.exit(main())
