"""The live estimate on 200 synthetic cooks against a line and a Newton fit, in one run.

python -m tests.bench.bench_heat          all of it, a table on the screen

The truth is `truth.py`, two-dimensional and apart from the estimator; yet the same hands wrote
both, so real cooks will be worse. 'learned' is the estimate after 20 other cooks of each class,
through the same learning that a house has.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np
from numpy.typing import NDArray

from core.facts import HeatLearned
from core.heat.card import house
from core.heat.constant import decay, seconds_to
from core.heat.course import course
from core.heat.estimate import Forecast, estimate
from core.heat.learn import known_of, learned, lesson_of
from core.heat.march import alike, core_c, march
from core.heat.mesh import mesh
from core.heat.pit import Pit
from core.heat.prior import Kind, Prior, table_prior
from core.model import Piece, Place, Reading, Size, Step
from tests.bench.row import Row
from tests.bench.truth import Cook, cooks

Array = NDArray[np.float64]

ON = datetime(2026, 6, 13, tzinfo=UTC)
SETS = {"direct": 60, "oven": 70, "smoker": 70}
SEED, TRAINING_SEED, TRAINING = 2026, 7, 20
SHARES = (0.25, 0.5, 0.75)
LIMITS = {"direct": 0.07, "oven": 0.07, "smoker": 0.13}
MEANT = {"direct": "direct heat", "oven": "roasts", "smoker": "low and slow"}


@dataclass(frozen=True, slots=True)
class Guess:
    """One cook at one moment: errors over the whole cook, whether the band held, the rise."""

    kind: str
    share: float
    wrapped: bool
    error: float
    line: float
    newton: float
    held: bool
    rise_error_k: float
    rule_error_k: float
    ms: float


def _at(seconds: float) -> datetime:
    return ON + timedelta(seconds=seconds)


def _card(cook: Cook) -> tuple[Step, Piece]:
    step = Step(
        "cook",
        "cook",
        temp_c=cook.set_c,
        start_temp_c=cook.start_c,
        until_core_c=cook.target_c,
        turns_min=tuple(t / 60 for t in cook.turns_s),
    )
    across = Size(cook.across_cm, cook.across_cm)
    return step, Piece(cook.weight_kg, cook.thickness_cm, across)


def _pit(cook: Cook, now_s: float) -> Pit:
    seen = cook.pit_s <= now_s
    log = tuple((_at(s), float(c)) for s, c in zip(cook.pit_s[seen], cook.pit_c[seen], strict=True))
    wrapped = cook.wrapped_s is not None and cook.wrapped_s <= now_s
    return Pit(
        Kind(cook.kind),
        cook.set_c,
        log,
        back_at=_at(now_s + 600),
        wrapped_at=_at(cook.wrapped_s) if wrapped and cook.wrapped_s is not None else None,
        wrap_c=None if wrapped else cook.wrap_c,
        air_c=cook.air_c,
        covered=cook.covered,
    )


def _readings(cook: Cook, now_s: float) -> tuple[Reading, ...]:
    seen = cook.read_s <= now_s
    pairs = zip(cook.read_s[seen], cook.read_c[seen], strict=True)
    return tuple(Reading(float(c), Place.CORE, _at(s), "bo") for s, c in pairs)


# ------------------------------------------------------------------ the baselines


def _line_s(times: Array, cores: Array, target: float) -> float:
    """Return the time by a line through the last two readings; inf where it does not rise."""
    if times.size < 2 or cores[-1] <= cores[-2]:
        return float("inf")
    slope = (cores[-1] - cores[-2]) / (times[-1] - times[-2])
    return float(times[-1] + max(target - cores[-1], 0.0) / slope)


def _newton_s(times: Array, cores: Array, start: float, fire: float, target: float) -> float:
    """Return the time by Newton's law with a lag, fitted to all readings; inf where it has none."""
    best, answer = np.inf, np.inf
    for lag in np.linspace(0.0, 0.6, 25) * times[-1]:
        after = times > lag
        if not after.any():
            continue
        gone = times[after] - lag
        faded = np.log((fire - start) / np.maximum(fire - cores[after], 1.0))
        rate = float((gone * faded).sum() / (gone * gone).sum())
        if rate <= 0:
            continue
        model = fire - (fire - start) * np.exp(-rate * np.maximum(times - lag, 0.0))
        miss = float(((model - cores) ** 2).sum())
        if miss < best and fire > target:
            best, answer = miss, lag + np.log((fire - start) / (fire - target)) / rate
    return float(answer)


# ------------------------------------------------------------------ the runs


@cache
def _set(kind: str, count: int, seed: int) -> tuple[Cook, ...]:
    return tuple(cooks(kind, count, seed))


def _learned(kind: str) -> Prior:
    """Return what a house knows after the training cooks, by the way every house learns."""
    facts = []
    for n, cook in enumerate(_set(kind, TRAINING, TRAINING_SEED)):
        step, piece = _card(cook)
        pit, end = _pit(cook, cook.done_s), _at(cook.done_s)
        lesson = lesson_of(step, piece, pit, _readings(cook, cook.done_s), ON, end)
        if lesson is not None:
            ids = (f"training-{n}", "bench/1", kind, "bench", "cook", kind)
            facts.append(HeatLearned(*ids, ON, end, (), lesson.told, lesson.worth))
    return learned(table_prior(Kind(kind)), known_of(facts))


def _guess(cook: Cook, share: float, prior: Prior | None, usual_k: float) -> Guess | None:
    seen = cook.read_s <= share * cook.done_s
    if not seen.any():
        return None
    times, cores = cook.read_s[seen], cook.read_c[seen]
    now = float(times[-1])
    step, piece = _card(cook)
    readings, pit = _readings(cook, now), _pit(cook, now)
    house.cache_clear()
    begin = time.perf_counter()
    made = estimate(step, piece, pit, readings, ON, _at(now), prior)
    took = (time.perf_counter() - begin) * 1e3
    whole = cook.done_s

    def off(pull_s: float) -> float:
        return abs(pull_s - whole) / whole

    return Guess(
        kind=cook.kind,
        share=share,
        wrapped=pit.wrapped_at is not None,
        error=off((made.pull_at - ON).total_seconds()) if made.pull_at else float("inf"),
        line=off(_line_s(times, cores, cook.target_c)),
        newton=off(_newton_s(times, cores, cook.start_c, cook.set_c, cook.target_c)),
        held=_held(made, whole),
        rise_error_k=abs(made.carry_over_k - cook.rise_k),
        rule_error_k=abs(usual_k - cook.rise_k),
        ms=took,
    )


def _held(made: Forecast, done_s: float) -> bool:
    """Tell whether the band held the true time; to half a minute, as times are spoken."""
    slack = timedelta(seconds=30)
    early = made.pull_low is not None and _at(done_s) < made.pull_low - slack
    late = made.pull_high is not None and _at(done_s) > made.pull_high + slack
    return not early and not late


def guesses(with_learning: bool) -> tuple[Guess, ...]:
    """Return every cook of the set at every moment."""
    found = []
    for kind, count in SETS.items():
        prior = _learned(kind) if with_learning else None
        usual = statistics.median(c.rise_k for c in _set(kind, TRAINING, TRAINING_SEED))
        for cook in _set(kind, count, SEED):
            for share in SHARES:
                guess = _guess(cook, share, prior, usual)
                if guess is not None:
                    found.append(guess)
    return tuple(found)


def _median(values: Sequence[float]) -> float:
    return float(np.quantile(values, 0.5, method="nearest"))


def _percent(value: float) -> str:
    return "none" if not np.isfinite(value) else f"{100 * value:.1f} %"


# ------------------------------------------------------------------ the report


def _error_rows(name: str, found: Sequence[Guess]) -> list[Row]:
    rows = []
    for kind, limit in LIMITS.items():
        some = [g for g in found if g.kind == kind and g.share == 0.5]
        ours, line = _median([g.error for g in some]), _median([g.line for g in some])
        newton = _median([g.newton for g in some])
        worst = float(np.quantile([g.error for g in some], 0.9, method="nearest"))
        rows.append(
            Row(
                f"{MEANT[kind]}, {name}: median error at half the cook (9 in 10)",
                f"{_percent(ours)} ({_percent(worst)})",
                f"line {_percent(line)}, Newton {_percent(newton)}",
                f"{_percent(limit)} at most, half of the line's",
                ours <= limit and ours <= line / 2,
            )
        )
    half = [g for g in found if g.share == 0.5]
    ours, line = _median([g.error for g in half]), _median([g.line for g in half])
    rows.append(
        Row(
            f"all 200, {name}: median error at half the cook",
            _percent(ours),
            f"line {_percent(line)}, ratio {ours / line:.2f}",
            "half of the line's",
            ours <= line / 2,
        )
    )
    return rows


def _band_rows(name: str, found: Sequence[Guess]) -> list[Row]:
    rows = []
    for share in SHARES:
        some = [g for g in found if g.share == share]
        held = sum(g.held for g in some) / len(some)
        each = ", ".join(
            f"{MEANT[kind]} {100 * sum(g.held for g in some if g.kind == kind) / len(own):.0f}"
            for kind in SETS
            if (own := [g for g in some if g.kind == kind])
        )
        rows.append(
            Row(
                f"80 % bands, {name}: how many hold at {share:.0%} of the cook",
                _percent(held),
                each,
                "75 to 88 %",
                0.75 <= held <= 0.88,
            )
        )
    return rows


def _other_rows(name: str, found: Sequence[Guess]) -> list[Row]:
    half = [g for g in found if g.share == 0.5]
    rise, rule = _median([g.rise_error_k for g in half]), _median([g.rule_error_k for g in half])
    wrapped = [g.error for g in found if g.wrapped and g.share == 0.75]
    took = [g.ms for g in found]
    return [
        Row(
            f"carry-over, {name}: median error at half the cook",
            f"{rise:.1f} °C",
            f"the class's usual rise: {rule:.1f} °C",
            "2 °C at most",
            rise <= 2.0,
        ),
        Row(
            f"wrapped, {name}: median error at three quarters",
            _percent(_median(wrapped)),
            f"line {_percent(_median([g.line for g in found if g.wrapped and g.share == 0.75]))}",
            "5 % at most",
            _median(wrapped) <= 0.05,
        ),
        Row(
            f"one reading to a new answer, {name}",
            f"median {statistics.median(took):.0f} ms, 99 in 100 {np.quantile(took, 0.99):.0f} ms",
            "-",
            "under 250 ms",
            float(np.quantile(took, 0.99)) < 250,
        ),
    ]


def _forward_row() -> Row:
    """Return one full cook forward: exact in time by its modes, against stepping it."""
    decay.cache_clear()
    args = (57.0, 5.0, 130.0, 0.05, 0.45, 0.45 / 3.675e6)
    seconds_to(*args, 20.0, beta=1.0)

    def modes(count: int) -> float:
        begin = time.perf_counter()
        for i in range(count):
            seconds_to(*args, 20.0 + i * 1e-3, beta=1.0)  # each its own film: nothing remembered
        return (time.perf_counter() - begin) / count * 1e3

    shape = mesh(1.0)
    who = alike(1, half_m=0.05, film=20.0, rho_c=3.675e6)
    along = course(6400, 6400 / 150, ([0.0], [130.0]))
    begin = time.perf_counter()
    for _ in range(20):
        core_c(shape, march(shape, who, along))
    stepped = (time.perf_counter() - begin) / 20 * 1e3
    took = min(modes(100) for _ in range(3))
    return Row(
        "one full cook forward, constant fire",
        f"{took:.2f} ms",
        f"150 steps of Crank-Nicolson {stepped:.1f} ms, ratio {stepped / took:.0f}",
        "under 1 ms",
        took < 1.0,
    )


def rows() -> list[Row]:
    """Return the whole report."""
    found: list[Row] = [_forward_row()]
    for name, learning in (("from the table", False), ("learned", True)):
        runs = guesses(learning)
        found += _error_rows(name, runs) + _band_rows(name, runs) + _other_rows(name, runs)
    return found


def main() -> None:
    """Print the report."""
    for row in rows():
        mark = "kept " if row.kept else "MISSED"
        print(f"{mark} {row.what}\n       {row.ours}   [{row.baseline}]   wanted: {row.wanted}")


if __name__ == "__main__":
    main()
