"""From what was said at the bench to a dish: yields, times and hold computed, nothing made up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from core.model import (
    Batch,
    Check,
    Dish,
    FoodClass,
    Hold,
    Ingredient,
    Pack,
    Per,
    Piece,
    StationKind,
    Step,
)
from core.model import Source as Origin
from core.scaling.cost import portion_cost
from core.scaling.yields import Chain, Factor, State, bought_kg
from core.trial.fields import NONE, UNKNOWN
from core.trial.goods import allergens_of, goods_of
from core.trial.sense import number_of, weight_of
from core.trial.series import series_of

HOT_C = 63.0
"""At which the hold was tested: the question says so."""

FIRST_VERB: Mapping[str, str] = {
    StationKind.SMOKER: "smoke",
    StationKind.GRILL: "grill",
    StationKind.OVEN: "roast",
    StationKind.RING: "simmer",
}
"""What a first fire does, as a step is called."""


@dataclass(frozen=True, slots=True)
class Weights:
    """What was weighed of all pieces, kg; None where it was not."""

    bought: float
    trimmed: float
    cooked: float
    served: float

    @property
    def trim(self) -> float:
        """Return the fraction lost to trimming."""
        return 1 - self.trimmed / self.bought

    @property
    def cook_yield(self) -> float:
        """Return the fraction of the trimmed weight that is left to serve.

        Examples
        --------
        >>> round(Weights(0.826, 0.760, 0.592, 0.592).cook_yield, 3)
        0.779
        """
        return self.served / self.trimmed


@dataclass(frozen=True, slots=True)
class Portion:
    """One portion at each end of the chain, kg, and what it costs; None without a price."""

    raw: float
    cooked: float
    bought: float
    cost: float | None
    set_cooked: bool


def weights_of(values: Mapping[str, str]) -> Weights | None:
    """Return what was weighed; None while one of the four is open."""
    found = [weight_of(values, f) for f in ("bought", "trimmed", "rested")]
    if any(w is None for w in found):
        return None
    bought, trimmed, rested = (w for w in found if w is not None)
    served = weight_of(values, "served")
    return Weights(bought, trimmed, rested, served if served is not None else rested)


def chain(weights: Weights) -> Chain:
    """Return the measured chain of a test."""
    card = Origin("card", "dish card", "", "card")
    return Chain(Factor(1 - weights.trim, card), Factor(weights.cook_yield, card))


def portion_of_test(values: Mapping[str, str]) -> Portion | None:
    """Return one portion both ways round: set raw, or set cooked.

    Parameters
    ----------
    values
        The draft's; weights in kg, price for one kg as bought.

    Returns
    -------
    Portion or None
        kg and money; the cook loss is divided out only where the portion is set cooked. None while
        a weight or the portion is open.

    Examples
    --------
    >>> said = {"pieces": "4", "bought": "1 kg", "trimmed": "0.92 kg", "rested": "0.7176 kg"}
    >>> raw = portion_of_test({**said, "portion": "0.19 kg raw", "price": "7.2"})
    >>> round(raw.cost, 2)
    1.49
    >>> plate = portion_of_test({**said, "portion": "0.15 kg cooked"})
    >>> round(plate.raw * 1000), round(plate.bought * 1000)
    (192, 209)
    """
    weights, set_as = weights_of(values), values.get("portion", "")
    pieces = number_of(values.get("pieces", ""))
    if weights is None or not set_as or not pieces or set_as == UNKNOWN:
        return None
    amount, unit, *state = set_as.split()
    set_cooked = state == ["cooked"]
    if unit == "pieces":
        raw = float(amount) * weights.trimmed / pieces
    else:
        raw = float(amount) / (weights.cook_yield if set_cooked else 1.0)
    price = number_of(values.get("price", ""))
    if set_cooked:
        bought = bought_kg(1, float(amount), State.COOKED, chain(weights))
        cost = price * bought if price is not None else None
    else:
        bought = bought_kg(1, raw, State.TRIMMED, chain(weights))
        cost = portion_cost(price, weights.trim, raw) if price is not None else None
    return Portion(raw, raw * weights.cook_yield, bought, cost, set_cooked)


def dish_of(values: Mapping[str, str], dish_id: str) -> Dish:
    """Return the dish of a captured test; every weight that must be there is.

    The portion is written raw, as the card counts its pieces; a cooked one is divided by the
    measured yield.
    """
    weights = weights_of(values)
    pieces = number_of(values["pieces"])
    assert weights is not None  # asked before the card is shown
    assert pieces is not None
    food_class = values.get("class", UNKNOWN)
    return Dish(
        id=dish_id,
        name=values["name"],
        batch=Batch(pieces, "pieces"),
        portion=_portion(values),
        piece=Piece(
            weight_kg=round(weights.trimmed / pieces, 4),
            thickness_cm=number_of(values["thickness"]),
            food_class=None if food_class == UNKNOWN else FoodClass(food_class),
        ),
        ingredients=(_main(values, weights), *goods_of(values.get("goods", ""))),
        steps=_steps(values),
        hold=_hold(values),
    )


def _portion(values: Mapping[str, str]) -> Batch:
    amount, unit, *_ = values["portion"].split()
    if unit == "pieces":
        return Batch(float(amount), "pieces")
    portion = portion_of_test(values)
    assert portion is not None
    return Batch(round(portion.raw, 4), "kg")


def _main(values: Mapping[str, str], weights: Weights) -> Ingredient:
    price = number_of(values.get("price", ""))
    return Ingredient(
        name=values.get("main", values["name"]),
        qty=round(weights.bought, 4),
        unit="kg",
        trim=round(weights.trim, 4),
        cook_yield=round(weights.cook_yield, 4),
        allergens=allergens_of(values.get("allergens", "")),
        label_confirmed=allergens_of(values.get("allergens", "")) is not None,
        packs=(Pack(1.0, "kg", round(price, 2)),) if price is not None else (),
    )


def _steps(values: Mapping[str, str]) -> tuple[Step, ...]:
    steps: list[Step] = []
    brine_min = number_of(values.get("brine_time", ""))
    if brine_min is not None:
        steps.append(Step("brine", "brine", StationKind.TUB.value, per=Per.LOT, ideal_min=brine_min,
                          keep_below_c=5.0, day=-1))  # fmt: skip
    steps.append(_first_fire(values))
    sear = values.get("sear", "")
    if sear not in {"", NONE, UNKNOWN}:
        minutes, heat = (float(x) for x in sear.split(":"))
        steps.append(Step("sear", "sear", StationKind.GRILL.value, temp_c=heat, ideal_min=minutes,
                          hands=1))  # fmt: skip
    peak = values.get("peak", "")
    if peak not in {"", NONE, UNKNOWN}:
        rest_min = float(peak.split(":")[1])
        if rest_min > 0:
            steps.append(Step("rest", "rest", ideal_min=rest_min))
    return tuple(steps)


def _first_fire(values: Mapping[str, str]) -> Step:
    pairs, _ = series_of(values["cores"])
    verb = FIRST_VERB[values["fire"]]
    minutes, core = pairs[-1]
    start = number_of(values.get("start", ""))
    checks = tuple(Check(m, c) for m, c in pairs if m > 0)
    return Step(verb, verb, values["fire"], temp_c=number_of(values["pit"]), start_temp_c=start,
                until_core_c=core, ideal_min=minutes, checks=checks)  # fmt: skip


def _hold(values: Mapping[str, str]) -> Hold:
    tested = number_of(values.get("hold", ""))
    if tested is None:
        return Hold()
    return Hold(HOT_C, tested, "hot")


def hottest_c(values: Mapping[str, str]) -> float | None:
    """Return the hottest core that was read, °C; None where none was."""
    pairs, _ = series_of(values.get("cores", ""))
    peak = values.get("peak", "")
    cores = [core for _, core in pairs]
    if peak not in {"", NONE, UNKNOWN}:
        cores.append(float(peak.split(":")[0]))
    return max(cores, default=None)
