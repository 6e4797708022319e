"""Many members of an ensemble through one cook at once: Crank-Nicolson in the modes of the mesh.

Between the surfaces a step is one multiplication per mode. At a surface the film, the heat of
evaporation (linear in the surface temperature, solved by Newton) and the half cell's conduction
balance. Cells that would pass boiling are held there; what that takes leaves as steam.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from core.heat.air import HFG, mass_transfer, vapour_density
from core.heat.course import Course
from core.heat.mesh import Mesh, probe_rows

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Members:
    """What differs between members, one entry each.

    `film` and `film_low` are W/(m² K) at the upper and the grate side (the latter only where the
    faces differ); `wet` 0 to 1 and `dry_kg_m2` with `dry_power` say how the surface dries:
    wet x exp(-(evaporated / dry)^power). `bias_k` is fire at the food minus the log of the fire.
    `rest` multiplies the film of a rest, `depth` is how far off the middle the probe sits, and
    from a core of `wrap_c` on the piece is wrapped (inf: never).
    """

    half_m: Array
    k: Array
    rho_c: Array
    film: Array
    film_low: Array
    wet: Array
    dry_kg_m2: Array
    dry_power: Array
    bias_k: Array
    start_c: Array
    rest: Array
    depth: Array
    wrap_c: Array

    @property
    def count(self) -> int:
        """Return how many members there are."""
        return int(self.half_m.size)


@dataclass(frozen=True, slots=True)
class State:
    """Where the members are: mode amplitudes; water gone kg/m², surface °C and rate of drying at
    each face; `bare` 1 where the piece is not wrapped, 0 where it is.
    """

    modes: Array
    gone: Array
    surface: Array
    rate: Array
    bare: Array


@dataclass(frozen=True, slots=True)
class Run:
    """A cook: amplitudes at every time (time, member, mode), the last state and the heat ledger.

    `heat_j_m2` came in through the surfaces, `steam_j_m2` left as steam from cells held at
    boiling; both for each m² of half the piece at its surface.
    """

    times_s: Array
    modes: Array
    last: State
    surface: Array
    heat_j_m2: Array
    steam_j_m2: Array


@dataclass(frozen=True, slots=True)
class _Stride:
    """The numbers of a step that depend only on its length and kind."""

    theta: float
    keep: Array
    push: Array
    resist: Array
    cross: Array


def start_state(shape: Mesh, who: Members) -> State:
    """Return the food as it goes on: one temperature all through, a surface not yet dried."""
    whole = shape.to_modes.sum(axis=1)
    faces = np.zeros((shape.faces, who.count))
    return State(
        who.start_c[:, None] * whole, faces, faces + who.start_c, faces, np.ones(who.count)
    )


def _stride(shape: Mesh, who: Members, step_s: float, damped: bool) -> _Stride:
    theta = 1.0 if damped else 0.5
    rates = shape.rates * (who.k / (who.rho_c * who.half_m**2))[:, None] * step_s
    under = 1.0 / (1.0 + theta * rates)
    keep = (1.0 - (1.0 - theta) * rates) * under
    push = shape.surfaces[:, None, :] * (under * (step_s / (who.rho_c * who.half_m))[:, None])
    own = (push * shape.surfaces[:, None, :]).sum(axis=2)
    cross = (push[::-1] * shape.surfaces[:, None, :]).sum(axis=2)
    resist = shape.width * who.half_m / (2 * who.k) + theta * own
    return _Stride(theta, keep, push, resist, theta * cross if shape.faces == 2 else cross * 0.0)


def _films(who: Members, along: Course, step: int, faces: int) -> Array:
    """Return the film at each face: the grate's is below until the piece is turned."""
    if not along.on_fire[step]:
        return np.tile(along.film[step] * who.rest, (faces, 1))
    if faces == 1:
        return who.film[None, :]
    pair = (who.film_low, who.film) if along.turned[step] else (who.film, who.film_low)
    return np.stack(pair)


def _air(who: Members, along: Course, step: int, faces: int) -> Array:
    """Return what each face meets, °C."""
    off = who.bias_k if along.on_fire[step] else np.zeros(who.count)
    if faces == 1:
        return np.asarray(along.air_c[step] + off)[None, :]
    pair = np.stack((along.air_c[step] + off, along.low_c[step] + off))
    return np.asarray(pair[::-1] if along.turned[step] else pair)


def _wetness(who: Members, along: Course, step: int, gone: Array) -> Array:
    if not along.on_fire[step]:
        return np.full_like(gone, along.wet[step])
    if along.wet[step] == 0.0:
        return np.zeros_like(gone)
    return np.asarray(who.wet * np.exp(-((gone / who.dry_kg_m2) ** who.dry_power)))


def _balance(
    inner: Array,
    guess: Array,
    stride: _Stride,
    film: Array,
    air: Array,
    vapour: float,
    leave: Array,
) -> tuple[Array, Array, Array]:
    """Return surface temperature, heat inwards W/m² and water leaving kg/(m² s) at each face."""
    surface, heat = guess, np.zeros_like(inner)
    conduct = 1.0 / stride.resist
    twice = inner.shape[0] == 2
    for _ in range(4 if stride.theta == 1.0 else 2):
        pull = inner + stride.cross * heat[::-1] if twice else inner
        density, slope = vapour_density(surface)
        over = density > vapour
        water = leave * np.where(over, density - vapour, 0.0)
        gap = film * (air - surface) - HFG * water - conduct * (surface - pull)
        slant = film + conduct + HFG * leave * np.where(over, slope, 0.0)
        surface = surface + gap / slant
        heat = conduct * (surface - pull)
    return surface, heat, water


def march(
    shape: Mesh, who: Members, along: Course, start: State | None = None, boils_c: float = 100.0
) -> Run:
    """Return all members' way through a cook.

    Parameters
    ----------
    shape
        The mesh; all members share it.
    who
        The members, M of them.
    along
        The time steps, S of them.
    start
        Where to begin; None as the food goes on.
    boils_c
        Boiling point, °C.

    Returns
    -------
    Run
        Amplitudes (S + 1, M, modes), and the heat ledger, which closes to rounding.

    References
    ----------
    Crank & Nicolson 1947; Rannacher 1984 for the damped first steps. Evaporation by the Lewis
    relation with a drying surface.

    Examples
    --------
    >>> from core.heat.course import course
    >>> from core.heat.mesh import mesh
    >>> who = alike(1, half_m=0.0125, film=30.0)
    >>> run = march(mesh(0.0), who, course(1800, 30, ([0.0], [110.0])))
    >>> bool(40 < core_c(mesh(0.0), run)[-1, 0] < 70)
    True
    """
    state = start or start_state(shape, who)
    modes, gone, surface, rate = state.modes, state.gone, state.surface, state.rate
    bare, wraps = state.bare, bool(np.isfinite(who.wrap_c).any())
    steps = along.steps_s
    kept = np.empty((steps.size + 1, *modes.shape))
    skins = np.empty((steps.size + 1, *surface.shape))
    kept[0], skins[0] = modes, surface
    heat_in, steam = np.zeros(who.count), np.zeros(who.count)
    strides: dict[tuple[float, bool], _Stride] = {}
    faces_t = np.ascontiguousarray(shape.surfaces.T)
    for i, step in enumerate(steps.tolist()):
        key = (round(step, 6), bool(along.damped[i]))
        if key not in strides:
            strides[key] = _stride(shape, who, step, key[1])
        stride = strides[key]
        after = stride.keep * modes
        inner = (after if stride.theta == 1.0 else 0.5 * (after + modes)) @ faces_t
        film = _films(who, along, i, shape.faces)
        air = _air(who, along, i, shape.faces)
        wet = _wetness(who, along, i, gone + 0.5 * step * rate) * bare
        leave = wet * mass_transfer(film, air)
        surface, heat, rate = _balance(
            inner.T, surface, stride, film, air, float(along.vapour[i]), leave
        )
        modes = after + np.einsum("fm,fmn->mn", heat, stride.push)
        gone = gone + step * rate
        heat_in += step * heat.sum(axis=0)
        if (modes @ faces_t).max() > boils_c:
            modes, boiled = _held(shape, who, modes, boils_c)
            steam += boiled
        if wraps and along.on_fire[i]:
            bare = np.where(modes @ shape.centre >= who.wrap_c, 0.0, bare)
        kept[i + 1], skins[i + 1] = modes, surface
    return Run(along.times_s, kept, State(modes, gone, surface, rate, bare), skins, heat_in, steam)


def _held(shape: Mesh, who: Members, modes: Array, boils_c: float) -> tuple[Array, Array]:
    """Return the amplitudes with no cell above boiling, and the heat that took, J/m²."""
    cells = modes @ shape.modes.T
    over = np.maximum(cells - boils_c, 0.0)
    return (cells - over) @ shape.to_modes.T, who.rho_c * who.half_m * (over @ shape.volumes)


def alike(count: int, **fields: float) -> Members:
    """Return members that are all the same: meat 5 cm thick in a dry, still fire unless told."""
    usual = {
        "half_m": 0.025,
        "k": 0.45,
        "rho_c": 3.6e6,
        "film": 20.0,
        "film_low": fields.get("film", 20.0),
        "wet": 0.0,
        "dry_kg_m2": 1.0,
        "dry_power": 1.5,
        "bias_k": 0.0,
        "start_c": 5.0,
        "rest": 1.0,
        "depth": 0.0,
        "wrap_c": np.inf,
    }
    return Members(**{name: np.full(count, value) for name, value in (usual | fields).items()})


def picked(who: Members, which: NDArray[np.intp] | NDArray[np.bool_]) -> Members:
    """Return some of the members."""
    names = Members.__dataclass_fields__
    return replace(who, **{name: getattr(who, name)[which] for name in names})


def core_c(shape: Mesh, run: Run) -> Array:
    """Return the core of each member at each time (time, member), °C.

    Where the faces differ the coldest place is taken, which a flip moves off the middle.
    """
    if shape.faces == 1:
        return np.asarray(run.modes @ shape.centre)
    half = shape.middles.size // 2
    inside = run.modes @ shape.modes[half // 2 : half + half // 2].T
    return np.asarray(inside.min(axis=2))


def probe_c(shape: Mesh, who: Members, run: Run) -> Array:
    """Return what the probe of each member reads at each time (time, member), °C."""
    rows = probe_rows(shape, who.depth)
    return np.asarray(np.einsum("tmn,mn->tm", run.modes, rows))


def stored_j_m2(shape: Mesh, who: Members, state: State) -> Array:
    """Return the heat in each member above 0 °C, J for each m² of surface."""
    return who.rho_c * who.half_m * ((state.modes @ shape.modes.T) @ shape.volumes)
