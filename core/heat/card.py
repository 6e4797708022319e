"""What a card says of its own heat: the tested batch calibrates the model, so both agree.

The model is fitted to the card's own checks and time. What then is left between the two is kept
as a bend of the model's scale, so that under the conditions of the test the card is met exactly,
and under others (thickness, start, fire, wind) the model says how much changes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from core.errors import OutOfRangeError
from core.heat.ahead import onward
from core.heat.fit import Posterior, Trial, fitted
from core.heat.prior import NAMES, Body, Kind, Prior, body_of, table_prior
from core.model import Piece, Source, Step
from core.tables.heat import heat_row

Array = NDArray[np.float64]

USUAL_START_C, UNSAID_START_SD = 5.0, 4.0
"""Where a card does not say how cold the food goes on: out of the fridge, more or less."""

_NOISE_K = 0.4  # a card's own readings are means of a tested batch

# Standard deviations for the fit to a card: its thickness is known, its fire is not.
_TESTED = {
    "half": 0.08,
    "film": 0.5,
    "film_low": 0.5,
    "wet": 0.8,
    "dry": 0.8,
    "depth": 0.2,
    "start": 2.0,
    "bias": 8.0,
}

# How one day differs from the tested one: pieces, place in the fire, wind, probe.
_DAILY = {
    "half": 0.05,
    "film": 0.10,
    "film_low": 0.12,
    "wet": 0.3,
    "dry": 0.3,
    "depth": 0.4,
    "start": 1.5,
    "bias": 2.5,
}


@dataclass(frozen=True, slots=True)
class House:
    """A step as tested: the calibrated prior, the piece, and the bend between model and card.

    `model_c` and `card_c` are the same readings on both scales, ascending; `pace` is the card's
    time over the model's, 1 within the steps of the model.
    """

    prior: Prior
    body: Body
    fire_c: float
    model_c: tuple[float, ...] = ()
    card_c: tuple[float, ...] = ()
    pace: float = 1.0

    def said(self, model_c: Array) -> Array:
        """Return what a cook would read for what the model says, °C."""
        return _along(model_c, self.model_c, self.card_c)

    def meant(self, card_c: Array) -> Array:
        """Return what the model says where a cook reads this, °C."""
        return _along(card_c, self.card_c, self.model_c)


def _along(x: Array, xs: tuple[float, ...], ys: tuple[float, ...]) -> Array:
    """Return x moved from one scale to the other: straight between, a constant shift beyond."""
    if not xs:
        return np.asarray(x, float)
    shift = np.interp(x, xs, np.array(ys) - np.array(xs))
    return np.asarray(x + shift)


def _spread(prior: Prior, sds: dict[str, float]) -> Prior:
    root = np.diag([sds[name] for name in NAMES])
    return replace(prior, root=tuple(tuple(line) for line in root.tolist()))


def _checks(step: Step) -> list[tuple[float, float]]:
    """Return the tested readings of a step: minutes and core, °C, its end among them."""
    found = {check.after_min: check.expect_c for check in step.checks}
    if step.until_core_c is not None and step.ideal_min is not None:
        found.setdefault(step.ideal_min, step.until_core_c)
    return sorted(found.items())


@lru_cache(maxsize=64)
def house(piece: Piece, step: Step, kind: Kind, tested: float = 0.0, fire_c: float = 0.0) -> House:
    """Return a step of a card as tested.

    Parameters
    ----------
    piece, step
        Of the card; the piece needs its thickness.
    kind
        Class of cook.
    tested
        How many pieces the batch was tested at, for the source; 0 if unknown.
    fire_c
        The fire if the card does not give it, °C.

    Returns
    -------
    House
        Calibrated to the card's checks and time; the table's assumptions where it has none.

    Examples
    --------
    >>> from core.model import Check
    >>> step = Step("smoke", "smoke", temp_c=110.0, until_core_c=50.0, ideal_min=40.0)
    >>> found = house(Piece(weight_kg=0.19, thickness_cm=2.5), step, Kind.SMOKER)
    >>> found.prior.source.status
    'house'
    """
    fire = step.temp_c if step.temp_c is not None else fire_c
    if not fire:
        raise OutOfRangeError("fire", "(none)", "on the card, like 110 C")
    said = step.start_temp_c is not None
    table = table_prior(kind, start_sd=None if said else UNSAID_START_SD)
    start = USUAL_START_C if step.start_temp_c is None else step.start_temp_c
    body = body_of(piece, table, start)
    checks = _checks(step)
    if not checks:
        return House(table, body, fire)
    turns = tuple(60 * t for t in step.turns_min)
    trial = Trial(body, _spread(table, _TESTED), ((0.0,), (fire,)), turns_s=turns)
    found = fitted(trial, [60 * t for t, _ in checks], [c for _, c in checks], _NOISE_K)
    loose = np.array(trial.prior.root) @ found.root
    sds = _DAILY if step.start_temp_c is not None else _DAILY | {"start": UNSAID_START_SD}
    daily = np.diag([sds[name] ** 2 for name in NAMES])
    root = np.linalg.cholesky(loose @ loose.T + daily)
    title = f"house, tested {tested:g}" if tested else "house, tested"
    prior = Prior(
        kind=kind,
        mean=tuple(trial.prior.values(found.mean[None])[0].tolist()),
        root=tuple(tuple(line) for line in root.tolist()),
        power=table.power,
        widen=1.0,
        drift=table.drift,
        source=Source("card", title, "", "house"),
    )
    first = start + prior.mean[NAMES.index("start")]
    bent = _bent(House(prior, body, fire), start, first, checks, found)
    if step.ideal_min is None or step.until_core_c is None:
        return bent
    target = float(bent.meant(np.array([step.until_core_c]))[0])
    model_s = _arrival(trial_of(bent, step), target, 60 * step.ideal_min)
    return replace(bent, pace=60 * step.ideal_min / model_s if np.isfinite(model_s) else 1.0)


def _bent(
    plain: House, start: float, first: float, checks: list[tuple[float, float]], found: Posterior
) -> House:
    """Return the house with its bend, kept ascending on both scales."""
    model, card = [first], [start]
    for value, (_, core) in zip(found.read_c.tolist(), checks, strict=True):
        if value > model[-1] + 0.2 and core > card[-1] + 0.2:
            model.append(value)
            card.append(core)
    return replace(plain, model_c=tuple(model), card_c=tuple(card))


@dataclass(frozen=True, slots=True)
class Conditions:
    """What differs from the test: None means as tested.

    `wind` takes the card's time in wind, else the rule of thumb for thin steel.
    """

    fire_c: float | None = None
    start_c: float | None = None
    thickness_cm: float | None = None
    wind: bool = False
    boils_c: float = 100.0


AS_TESTED = Conditions()


def trial_of(tested: House, step: Step, how: Conditions = AS_TESTED) -> Trial:
    """Return the cook of a step under conditions that may differ from the test's."""
    body = tested.body
    if how.thickness_cm is not None:
        body = replace(body, half_m=how.thickness_cm / 200)
    if how.start_c is not None:
        body = replace(body, start_c=how.start_c)
    fire = tested.fire_c if how.fire_c is None else how.fire_c
    turns = tuple(60 * t for t in step.turns_min)
    trial = Trial(body, tested.prior, ((0.0,), (fire,)), turns_s=turns, boils_c=how.boils_c)
    if how.wind and step.in_wind_min and step.ideal_min and step.until_core_c:
        trial = _in_wind(tested, step, trial)
    return trial


def _in_wind(tested: House, step: Step, trial: Trial) -> Trial:
    """Return the cook in wind: the fire so much cooler at the food that the card's time is met."""
    by = cooler_k(tested, step, (step.in_wind_min or 0.0) / (step.ideal_min or 1.0))
    return replace(trial, fire=(trial.fire[0], tuple(c + by for c in trial.fire[1])))


@lru_cache(maxsize=64)
def cooler_k(tested: House, step: Step, slower: float) -> float:
    """Return how much less the food gets of its fire when a tested step takes so much longer, K.

    Parameters
    ----------
    tested, step
        The step as tested.
    slower
        Its time over the tested one: wind, cold or rain by the card or by practice.

    Examples
    --------
    >>> step = Step("smoke", "smoke", temp_c=110.0, until_core_c=50.0, ideal_min=40.0)
    >>> found = house(Piece(weight_kg=0.19, thickness_cm=2.5), step, Kind.SMOKER)
    >>> -12 < cooler_k(found, step, 45 / 40) < -5
    True
    """
    if step.until_core_c is None or step.ideal_min is None or slower == 1.0:
        return 0.0
    calm = trial_of(tested, step)
    target = float(tested.meant(np.array([step.until_core_c]))[0])
    wanted_s = 60 * step.ideal_min * slower / tested.pace
    low, high = -60.0, 30.0
    for _ in range(12):
        cooler = (low + high) / 2
        fire = tuple(c + cooler for c in calm.fire[1])
        reached = _arrival(replace(calm, fire=(calm.fire[0], fire)), target, wanted_s)
        low, high = (cooler, high) if reached > wanted_s else (low, cooler)
    return (low + high) / 2


def _arrival(trial: Trial, target_c: float, guess_s: float) -> float:
    """Return when the most likely member is there, s."""
    size = len(NAMES)
    surely = Posterior(np.zeros(size), np.zeros((size, size)), np.zeros(0))
    return float(onward(trial, surely, target_c, 0.0, guess_s, size=0).arrive_s[0])


def core_after(tested: House, step: Step, minutes: float, how: Conditions = AS_TESTED) -> float:
    """Return the core to expect so many minutes after the food went on, °C.

    Examples
    --------
    >>> step = Step("smoke", "smoke", temp_c=110.0, until_core_c=50.0, ideal_min=40.0)
    >>> found = house(Piece(weight_kg=0.19, thickness_cm=2.5), step, Kind.SMOKER)
    >>> round(core_after(found, step, 40.0), 1)
    50.0
    """
    trial = trial_of(tested, step, how)
    read = trial.read(np.zeros((1, len(NAMES))), np.array([60.0 * minutes]))
    return float(tested.said(read[:, 0])[0])


def _wind_share(step: Step) -> tuple[float, float]:
    """Return by how much wind multiplies a time, low and high; 1 where the card itself says."""
    if step.in_wind_min:
        return 1.0, 1.0
    low, high = heat_row("rules", "weather", "wind")["time"]
    return 1.0 + low, 1.0 + high


@dataclass(frozen=True, slots=True)
class Takes:
    """How long a step takes to its core: minutes, with the band of four days in five."""

    minutes: float
    low_min: float
    high_min: float | None
    source: Source


def time_to_core(
    tested: House,
    step: Step,
    target_c: float | None = None,
    how: Conditions = AS_TESTED,
) -> Takes | None:
    """Return how long a step takes until its core, from its thickness, start, fire and wind.

    Parameters
    ----------
    tested
        From `house`.
    step
        The step; it ends at a temperature, or `target_c` says which.
    target_c
        Core to reach, °C; None takes the card's.
    how
        What differs from the test.

    Returns
    -------
    Takes | None
        None if the core will not get there: the target is at or above what the fire can give.

    Examples
    --------
    >>> step = Step("smoke", "smoke", temp_c=110.0, until_core_c=50.0, ideal_min=40.0)
    >>> found = house(Piece(weight_kg=0.19, thickness_cm=2.5), step, Kind.SMOKER)
    >>> takes = time_to_core(found, step)
    >>> round(takes.minutes, 1), takes.source.title
    (40.0, 'house, tested')
    """
    wanted = target_c if target_c is not None else step.until_core_c
    if wanted is None:
        raise OutOfRangeError("until_core", "(none)", "on the card: the step ends at a temperature")
    trial = trial_of(tested, step, how)
    target = float(tested.meant(np.array([wanted]))[0])
    if trial.body.start_c >= wanted:
        return Takes(0.0, 0.0, 0.0, tested.prior.source)
    size = len(NAMES)
    known = Posterior(np.zeros(size), np.eye(size), np.zeros(0))
    guess = 60.0 * (step.ideal_min or 0.0) or 0.5 * trial.body.half_m**2 * 8e6
    way = onward(trial, known, target, 0.0, guess)
    first = float(way.arrive_s[0]) * tested.pace
    if not np.isfinite(first):
        return None
    windy = _wind_share(step) if how.wind else (1.0, 1.0)
    first *= sum(windy) / 2
    spread = np.quantile(way.arrive_s, [0.1, 0.9], method="nearest") * windy
    low = min(float(spread[0]), first)
    high = float(spread[1]) if np.isfinite(spread[1]) else None
    return Takes(
        first / 60, low / 60, None if high is None else max(high, first) / 60, tested.prior.source
    )
