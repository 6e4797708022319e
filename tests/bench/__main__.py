"""Every benchmark in one run and one table: `make bench`, or `python -m tests.bench heat store`.

Figures are set against a named baseline measured in the same run, so that they mean something on
another machine too. Nothing here is a test: a row that misses its goal says so and fails nothing.
A benchmark that breaks is a row as well, and then the run fails.
"""

from __future__ import annotations

import importlib
import os
import platform
import sys
import time
import traceback
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from tests.bench.row import Row

HEAD = "| | benchmark | what | ours | baseline | goal |\n|---|---|---|---|---|---|"


def names() -> tuple[str, ...]:
    """Return the benchmarks there are, by the end of their file's name."""
    files = sorted(Path(__file__).parent.glob("bench_*.py"))
    return tuple(file.stem.removeprefix("bench_") for file in files)


def rows_of(name: str) -> Iterable[Row]:
    """Run one benchmark."""
    module = importlib.import_module(f"tests.bench.bench_{name}")
    rows: Iterable[Row] = module.rows()
    return rows


def machine() -> str:
    """Return the machine in a line: what the figures depend on."""
    return (
        f"{_line_of('/proc/cpuinfo', 'model name') or platform.machine()}, {os.cpu_count()} cores, "
        f"{_memory_gb():.0f} GB; {platform.system()} {platform.release()}; "
        f"Python {platform.python_version()}; load {os.getloadavg()[0]:.1f} at the start"
    )


def _line_of(file: str, key: str) -> str:
    try:
        lines = Path(file).read_text("utf-8").splitlines()
    except OSError:
        return ""
    return next((x.split(":", 1)[1].strip() for x in lines if x.startswith(key)), "")


def _memory_gb() -> float:
    return os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30


def table(wanted: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Yield how each row came out, and the row as a line of the table."""
    for name in wanted:
        try:
            for row in rows_of(name):
                mark = "kept" if row.kept else "MISSED"
                yield mark, _cells(mark, name, row.what, row.ours, row.baseline, row.wanted)
        except Exception as broken:  # the others are still worth their figures
            traceback.print_exc()
            yield "BROKEN", _cells("BROKEN", name, type(broken).__name__, "-", "-", "-")


def _cells(*cells: str) -> str:
    return f"| {' | '.join(cell.replace('|', '/') for cell in cells)} |"


def main(wanted: Sequence[str]) -> int:
    """Run the named benchmarks, or all, and print a line a figure as it comes."""
    known = names()
    strange = [name for name in wanted if name not in known]
    if strange:
        print(f"no benchmark '{strange[0]}'. There is: {', '.join(known)}", file=sys.stderr)
        return 2
    begun, marks = time.perf_counter(), []
    print(f"{machine()}\n\n{HEAD}", flush=True)
    for mark, line in table(wanted or known):
        marks.append(mark)
        print(line, flush=True)
    took = (time.perf_counter() - begun) / 60
    counted = ", ".join(f"{marks.count(m)} {m}" for m in ("kept", "MISSED", "BROKEN"))
    print(f"\n{counted}, in {took:.0f} min.")
    return 1 if "BROKEN" in marks else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
