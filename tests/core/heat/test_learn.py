from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from core.facts import HeatKnown, HeatLearned
from core.heat.card import house, time_to_core
from core.heat.estimate import estimate
from core.heat.fit import Trial
from core.heat.learn import known_of, learned, lesson_of, lesson_of_trial, taught
from core.heat.prior import NAMES, Kind, Prior, body_of, table_prior
from core.model import Piece
from tests.core.heat.cooks import LAMB, LAMB_SMOKE, SMOKER, at, core, minutes

FILM = NAMES.index("film")
START = NAMES.index("start")
TABLE = table_prior(Kind.SMOKER)
SPREAD = float(TABLE.root[FILM][FILM])


def _trial() -> Trial:
    body = body_of(Piece(weight_kg=0.5, thickness_cm=5.0), TABLE, 5.0)
    return Trial(body, TABLE, ((0.0,), (115.0,)))


def _facts(cooks: int, film_sds: float, loads: int = 1) -> list[HeatLearned]:
    """Return what cooks on a fire teach whose film is off the table's by so many sds."""
    trial, rng = _trial(), np.random.default_rng(4)
    made = []
    for i in range(cooks):
        truth = 0.1 * rng.standard_normal((1, len(NAMES)))
        truth[0, FILM] += film_sds
        times = np.arange(600.0, 4200.0, 600.0)
        lesson = lesson_of_trial(trial, times.tolist(), trial.read(truth, times)[0].tolist())
        assert lesson is not None
        on = datetime(2026, 5, 1, 12, tzinfo=UTC) + timedelta(days=i)
        for load in range(loads):
            ids = (f"cook-{i}", f"lamb/{load}/smoke", "P", "lamb", "smoke", "smoker")
            off = on + timedelta(hours=1)
            made.append(HeatLearned(*ids, on, off, (), lesson.told, lesson.worth))
    return made


def _prior(cooks: int, film_sds: float, loads: int = 1) -> Prior:
    return learned(TABLE, known_of(_facts(cooks, film_sds, loads)))


def _sd(prior: Prior, name: int) -> float:
    return float(np.linalg.norm(prior.root[name]))


def test_a_fire_that_heats_harder_is_learned_cook_by_cook() -> None:
    films = [TABLE.mean[FILM], *(_prior(n, 2.0).mean[FILM] for n in (1, 3, 10))]
    # by hand: the truth lies two sds up; thickness and the fire's bias explain a part of it
    assert films == sorted(films)
    assert TABLE.mean[FILM] + 0.5 * SPREAD < films[-1] < TABLE.mean[FILM] + 2.0 * SPREAD


def test_what_is_learned_is_surer_but_never_surer_than_cooks_differ() -> None:
    after = _prior(30, 1.0)
    assert 0.5 * SPREAD <= _sd(after, FILM) < SPREAD


def test_ten_loads_of_one_day_are_one_cook() -> None:
    one, many = _prior(1, 2.0), _prior(1, 2.0, loads=10)
    assert many.count == 1
    most = TABLE.mean[FILM] + 2.0 * SPREAD
    assert one.mean[FILM] < many.mean[FILM] < most
    assert _sd(many, FILM) > _sd(_prior(10, 2.0), FILM)


def test_count_and_day_are_told() -> None:
    prior = _prior(3, 1.0)
    assert prior.count == 3
    assert prior.day == date(2026, 5, 3)
    assert prior.source.title == "house, 3 cooks, last 2026-05-03"


def test_the_start_is_learned_most_slowly_and_stays_a_days_own() -> None:
    after = _prior(5, 1.0)
    start = float(TABLE.root[START][START])
    assert abs(after.mean[START] - TABLE.mean[START]) < 0.5 * start
    assert _sd(after, START) > 0.5 * start


def test_a_cook_that_says_nothing_changes_nothing() -> None:
    nothing = tuple((0.0,) * 8 for _ in range(8))
    silent = HeatKnown("P", "lamb", "smoke", "smoker", (0.0,) * 8, nothing, 1, date(2026, 5, 1))
    after = learned(TABLE, silent)
    assert after.mean == pytest.approx(TABLE.mean)
    assert np.array(after.root) == pytest.approx(np.array(TABLE.root))


def test_what_another_class_of_cook_taught_is_passed_over() -> None:
    known = replace(known_of(_facts(3, 2.0)), kind="oven")
    assert learned(TABLE, known) is TABLE


def test_a_pulled_load_gives_a_lesson_and_one_without_readings_none() -> None:
    on, off = at(12, 8), at(13, 10)
    readings = (core(27.9, at(12, 39)), core(46.0, at(13, 9)))
    assert lesson_of(LAMB_SMOKE, LAMB, SMOKER, readings, on, off) is not None
    assert lesson_of(LAMB_SMOKE, LAMB, SMOKER, (), on, off) is None


def test_a_probe_no_cook_reads_like_teaches_nothing() -> None:
    on, off = at(12, 8), at(13, 10)
    readings = (core(60.0, at(12, 30)), core(20.0, at(12, 45)), core(70.0, at(13, 0)))
    assert lesson_of(LAMB_SMOKE, LAMB, SMOKER, readings, on, off) is None


# ------------------------------------------------------------------ the next cook of the card


def _slow_cooks(count: int, late: float) -> HeatKnown:
    """Return what the house knows after cooks that took so much longer than the card says."""
    facts = []
    for i in range(count):
        on = at(12, 8) + timedelta(days=i)
        looks = ((31 * late, 27.9), (45 * late, 36.6), (62 * late, 46.0))
        readings = tuple(core(c, on + timedelta(minutes=m)) for m, c in looks)
        off = on + timedelta(minutes=62 * late)
        lesson = lesson_of(LAMB_SMOKE, LAMB, SMOKER, readings, on, off)
        assert lesson is not None
        ids = (f"cook-{i}", "lamb/A/smoke", "P", "lamb", "smoke", "smoker")
        facts.append(HeatLearned(*ids, on, off, (), lesson.told, lesson.worth))
    return known_of(facts)


def test_a_house_whose_cooks_ran_longer_plans_longer_cook_by_cook() -> None:
    card = house(LAMB, LAMB_SMOKE, Kind.SMOKER, 4.0)
    takes = []
    for count in (1, 3, 10):
        found = time_to_core(taught(card, _slow_cooks(count, 1.15)), LAMB_SMOKE)
        assert found is not None
        takes.append(found.minutes)
    # by hand: the card's 62 min, each cook 62 x 1.15 = 71.3 min
    assert 62.5 < takes[0] < takes[1] < takes[2] < 72.0
    assert takes[2] > 67.0


def test_a_house_whose_cooks_ran_to_the_card_keeps_to_it() -> None:
    card = house(LAMB, LAMB_SMOKE, Kind.SMOKER, 4.0)
    found = time_to_core(taught(card, _slow_cooks(5, 1.0)), LAMB_SMOKE)
    assert found is not None
    assert found.minutes == pytest.approx(62.0, abs=1.0)
    assert found.source.title.startswith("house, 5 cooks")


def test_the_estimate_starts_from_what_the_house_has_learned() -> None:
    on, now = at(12, 8), at(12, 23)
    early = (core(14.5, now),)
    plain = estimate(LAMB_SMOKE, LAMB, SMOKER, early, on, now)
    known = estimate(LAMB_SMOKE, LAMB, SMOKER, early, on, now, heat=_slow_cooks(2, 1.15))
    assert minutes(on, known.pull_at) > minutes(on, plain.pull_at) + 1
    assert known.source.title.startswith("house, 2 cooks")
