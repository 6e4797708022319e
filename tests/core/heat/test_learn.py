from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from core.heat.fit import Trial
from core.heat.learn import CookFit, fit_of, fit_of_trial, learned
from core.heat.prior import NAMES, Kind, body_of, table_prior
from core.model import Piece
from tests.core.heat.cooks import LAMB, LAMB_SMOKE, SMOKER, at, core

FILM = NAMES.index("film")
START = NAMES.index("start")


def _trial() -> Trial:
    prior = table_prior(Kind.SMOKER)
    body = body_of(Piece(weight_kg=0.5, thickness_cm=5.0), prior, 5.0)
    return Trial(body, prior, ((0.0,), (115.0,)))


def _fits(count: int, film_sds: float) -> list[CookFit]:
    """Return fits of cooks on a fire whose film is off the table's by so many sds."""
    trial, rng = _trial(), np.random.default_rng(4)
    made = []
    for i in range(count):
        truth = 0.3 * rng.standard_normal((1, len(NAMES)))
        truth[0, FILM] += film_sds
        times = np.arange(600.0, 4200.0, 600.0)
        cores = trial.read(truth, times)[0]
        day = date(2026, 5, 1) + timedelta(days=i)
        made.append(fit_of_trial(trial, times.tolist(), cores.tolist(), day, "P", "lamb"))
    return made


def test_a_fire_that_heats_harder_is_learned_cook_by_cook() -> None:
    table = table_prior(Kind.SMOKER)
    films = [learned(Kind.SMOKER, _fits(n, 2.0)).mean[FILM] for n in (0, 1, 3, 10)]
    assert films[0] == table.mean[FILM]
    assert films == sorted(films)
    wanted = table.mean[FILM] + 2.0 * table.root[FILM][FILM]
    assert films[-1] == pytest.approx(wanted, abs=0.35)


def test_what_is_learned_is_surer_but_never_surer_than_cooks_differ() -> None:
    table = table_prior(Kind.SMOKER)
    after = learned(Kind.SMOKER, _fits(30, 1.0))
    assert after.root[FILM][FILM] < table.root[FILM][FILM]
    assert after.root[FILM][FILM] >= 0.5 * table.root[FILM][FILM]


def test_count_and_day_are_told() -> None:
    prior = learned(Kind.SMOKER, _fits(3, 1.0))
    assert prior.count == 3
    assert prior.day == date(2026, 5, 3)
    assert prior.source.title == "house, 3 cooks, last 2026-05-03"


def test_the_start_is_new_each_time() -> None:
    table = table_prior(Kind.SMOKER)
    after = learned(Kind.SMOKER, _fits(5, 1.0))
    assert after.mean[START] == table.mean[START]
    assert after.root[START][START] == table.root[START][START]


def test_a_cook_that_says_nothing_changes_nothing() -> None:
    table = table_prior(Kind.SMOKER)
    sd = tuple(float(np.linalg.norm(line)) for line in table.root)
    silent = CookFit(date(2026, 5, 1), "P", "lamb", Kind.SMOKER, table.mean, sd)
    after = learned(Kind.SMOKER, [silent])
    assert after.mean == pytest.approx(table.mean)


def test_fits_of_another_class_are_passed_over() -> None:
    other = [replace(fit, kind=Kind.OVEN) for fit in _fits(3, 2.0)]
    assert learned(Kind.SMOKER, other).count == 0


def test_a_finished_cook_gives_a_fit_and_one_without_readings_none() -> None:
    on, off = at(12, 8), at(13, 10)
    readings = (core(27.9, at(12, 39)), core(46.0, at(13, 9)))
    fit = fit_of(LAMB_SMOKE, LAMB, SMOKER, readings, on, off, "smoker", "lamb-rump")
    assert fit is not None
    assert (fit.fire, fit.cut, fit.day) == ("smoker", "lamb-rump", date(2026, 6, 13))
    assert fit_of(LAMB_SMOKE, LAMB, SMOKER, (), on, off, "smoker", "lamb-rump") is None
