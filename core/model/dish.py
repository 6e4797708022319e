"""The dish card: ingredients as bought, the piece, the steps in order."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from core.model.kit import Size
from core.model.vocabulary import FoodClass, Per, Tied


@dataclass(frozen=True, slots=True)
class Batch:
    """What a recipe was tested at: '4 pieces', '1 L'. `unit` is pieces, kg, L or portions."""

    amount: float
    unit: str


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece as it goes on the fire."""

    weight_kg: float | None = None
    thickness_cm: float | None = None
    footprint: Size | None = None
    food_class: FoodClass | None = None
    fat: float | None = None


@dataclass(frozen=True, slots=True)
class Pack:
    """A pack on offer: size in kg, L or pieces, and its price in the event's currency."""

    amount: float
    unit: str
    price: float | None = None


@dataclass(frozen=True, slots=True)
class Ingredient:
    """One ingredient of the batch as bought. `card` names another dish card instead of a good.

    `qty` with `unit` kg, L or pieces; or `parts`, of which `fill_to` litres are made. `trim` is
    the fraction lost to trimming, `cook_yield` the fraction left after cooking. `allergens` None
    means unknown, () means none.
    """

    name: str
    card: str | None = None
    qty: float | None = None
    unit: str = ""
    parts: float | None = None
    fill_to_l: float | None = None
    eaten: bool = True
    trim: float = 0.0
    cook_yield: float | None = None
    allergens: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] = ()
    label_confirmed: bool = False
    packs: tuple[Pack, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """A planned look: after this many minutes of the step expect this core, °C."""

    after_min: float
    expect_c: float


@dataclass(frozen=True, slots=True)
class Step:
    """One line of a dish card. Minutes, °C, fractions.

    `lot` is one tub or tray, in `lot_unit`: pieces, kg or L.
    `min_min, ideal_min, max_min` are quality; `never_over_min` is a hard maximum. `in_wind_min`
    replaces the ideal in wind. `gap_min, gap_max_min` lie between this step and the next.
    `before_plates_min` and `day` place a step that is tied to plates or to a prep day.
    """

    id: str
    do: str
    station: str | None = None
    temp_c: float | None = None
    start_temp_c: float | None = None
    until_core_c: float | None = None
    per: Per = Per.LOAD
    lot: float | None = None
    lot_unit: str = "pieces"
    min_min: float | None = None
    ideal_min: float | None = None
    max_min: float | None = None
    never_over_min: float | None = None
    in_wind_min: float | None = None
    checks: tuple[Check, ...] = ()
    turns_min: tuple[float, ...] = ()
    gap_min: float = 0.0
    gap_max_min: float | None = None
    hands: int = 0
    shared_by: int = 1
    skill: str | None = None
    tied: Tied = Tied.ELASTIC
    before_plates_min: float | None = None
    day: int | None = None
    ahead_max_min: float | None = None
    keep_above_c: float | None = None
    keep_below_c: float | None = None
    instead_of: str | None = None


@dataclass(frozen=True, slots=True)
class Hold:
    """How a dish may wait after its last step."""

    min_temp_c: float | None = None
    quality_max_min: float | None = None
    safety: str = ""


@dataclass(frozen=True, slots=True)
class Dish:
    """A tested dish on a card."""

    id: str
    name: str
    batch: Batch
    portion: Batch | None = None
    cuts: int | None = None
    piece: Piece = Piece()
    fits: Mapping[str, int] = field(default_factory=dict)
    ingredients: tuple[Ingredient, ...] = ()
    steps: tuple[Step, ...] = ()
    hold: Hold = Hold()

    def step(self, step_id: str) -> Step | None:
        """Return the step with this id."""
        return next((s for s in self.steps if s.id == step_id), None)
