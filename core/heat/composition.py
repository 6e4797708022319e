"""Heat properties of food from what it is made of: published polynomials, mixed by volume."""

from __future__ import annotations

from dataclasses import dataclass, fields

from core.errors import OutOfRangeError
from core.tables.heat import heat_row


@dataclass(frozen=True, slots=True)
class Mix:
    """What a food is made of, fractions by mass adding up to 1."""

    water: float
    protein: float
    fat: float
    carbohydrate: float = 0.0
    fibre: float = 0.0
    ash: float = 0.0
    ice: float = 0.0


@dataclass(frozen=True, slots=True)
class Properties:
    """Conductivity W/(m K), specific heat J/(kg K), density kg/m³."""

    k: float
    cp: float
    rho: float

    @property
    def rho_c(self) -> float:
        """Return heat capacity by volume, J/(m³ K)."""
        return self.rho * self.cp

    @property
    def alpha(self) -> float:
        """Return diffusivity, m²/s."""
        return self.k / self.rho_c


def food(name: str) -> Mix:
    """Return the composition of a food of the table."""
    row = heat_row("composition", "food", name)
    return Mix(**{f.name: row.get(f.name, 0.0) for f in fields(Mix)})


def meat(fat: float) -> Mix:
    """Return lean meat with this fraction of fat.

    Parameters
    ----------
    fat
        By mass, 0 to 0.6; the lean is 78 % water, 21 % protein and 1 % ash (common practice).

    Examples
    --------
    >>> round(meat(0.10).water, 3)
    0.702
    """
    if not 0 <= fat <= 0.6:
        raise OutOfRangeError("fat", f"{fat:.0%}", "0 to 60 %")
    lean = 1.0 - fat
    return Mix(water=0.78 * lean, protein=0.21 * lean, fat=fat, ash=0.01 * lean)


def component(name: str, prop: str, at_c: float) -> float:
    """Return one property of one component at a temperature.

    Parameters
    ----------
    name
        water, protein, fat, carbohydrate, fibre, ash or ice.
    prop
        `k` W/(m K), `cp` J/(kg K) or `rho` kg/m³.
    at_c
        °C, -40 to 150.

    References
    ----------
    Choi & Okos 1986.

    Examples
    --------
    >>> round(component("water", "cp", 60.0))
    4190
    """
    c0, c1, c2 = heat_row("composition", "component", name)[prop]
    return float(c0 + c1 * at_c + c2 * at_c * at_c)


def mixed(mix: Mix, at_c: float) -> Properties:
    """Return the properties of a food at a temperature.

    Parameters
    ----------
    mix
        Composition by mass.
    at_c
        °C, -40 to 150.

    Returns
    -------
    Properties
        Specific heat by mass, density by volume; conductivity is the mean of the parallel and the
        perpendicular model, as the parallel one alone is 10 to 15 % high for fatty meat.

    References
    ----------
    Choi & Okos 1986; ASHRAE Handbook - Refrigeration, thermal properties of foods.

    Examples
    --------
    >>> round(mixed(food("turkey"), 5.0).cp, -1)
    3520.0
    """
    if not -40 <= at_c <= 150:
        raise OutOfRangeError("temperature", f"{at_c:g} °C", "-40 to 150 °C")
    parts = {f.name: getattr(mix, f.name) for f in fields(Mix)}
    present = {name: share for name, share in parts.items() if share > 0}
    volumes = {name: share / component(name, "rho", at_c) for name, share in present.items()}
    whole = sum(volumes.values())
    mass = sum(present.values())
    ks = {name: component(name, "k", at_c) for name in present}
    parallel = sum(volumes[name] * ks[name] for name in present) / whole
    series = whole / sum(volumes[name] / ks[name] for name in present)
    cp = sum(share * component(name, "cp", at_c) for name, share in present.items()) / mass
    return Properties(k=(parallel + series) / 2, cp=cp, rho=mass / whole)


def ice_fraction(mix: Mix, at_c: float, freezes_c: float) -> float:
    """Return the mass of ice in a kilogram of food below its freezing point.

    Parameters
    ----------
    mix
        Composition unfrozen.
    at_c, freezes_c
        °C.

    References
    ----------
    Bound water 0.4 kg a kg of protein: ASHRAE Handbook - Refrigeration (from memory).

    Examples
    --------
    >>> round(ice_fraction(food("beef carcass"), -18.0, -2.2), 2)
    0.44
    """
    if at_c >= freezes_c:
        return 0.0
    return max(mix.water - 0.4 * mix.protein, 0.0) * (1.0 - freezes_c / at_c)
