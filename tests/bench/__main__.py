"""Every benchmark in one run and one table: `make bench`, or `python -m tests.bench heat store`.

Figures are set against a named baseline measured in the same run, so that they mean something on
another machine too. Nothing here is a test: a row that misses its goal says so and fails nothing.
"""

from __future__ import annotations

import importlib
import os
import platform
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

from tests.bench.row import Row


def names() -> tuple[str, ...]:
    """Return the benchmarks there are, by the end of their file's name."""
    files = sorted(Path(__file__).parent.glob("bench_*.py"))
    return tuple(file.stem.removeprefix("bench_") for file in files)


def rows_of(name: str) -> Iterable[Row]:
    """Run one benchmark."""
    module = importlib.import_module(f"tests.bench.bench_{name}")
    rows: Iterable[Row] = module.rows()
    return rows


def main(wanted: Sequence[str]) -> int:
    """Run the named benchmarks, or all, and print a line a figure as it comes."""
    known = names()
    strange = [name for name in wanted if name not in known]
    if strange:
        print(f"no benchmark '{strange[0]}'. There is: {', '.join(known)}", file=sys.stderr)
        return 2
    print(f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}")
    for name in wanted or known:
        for row in rows_of(name):
            mark = "kept  " if row.kept else "MISSED"
            print(f"{mark} {name}: {row.what}: {row.ours}; {row.baseline}; goal {row.wanted}",
                  flush=True)  # fmt: skip
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
