"""Cooks as they might really go, for the benchmark: richer than, and apart from, the estimator.

A round block in two dimensions, heat and water together: properties change with both, the surface
dries by diffusion from within, proteins squeeze water out, the piece shrinks, cells boil and form
a crust, walls radiate at their own temperature, the fire wanders and lids are opened. The crew
sees it through a probe off the middle with a stem, rounded to a degree, and a pit thermometer
that hangs somewhere else; the thickness is what somebody said.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

HFG = 2.34e6
SIGMA = 5.67e-8
DENSE = 1050.0


@dataclass(frozen=True, slots=True)
class Cook:
    """One cook: what the crew knows (said, read), and what was true."""

    kind: str
    thickness_cm: float
    weight_kg: float
    across_cm: float
    start_c: float
    set_c: float
    target_c: float
    turns_s: tuple[float, ...]
    wrapped_s: float | None
    wrap_c: float | None
    covered: bool
    air_c: float
    read_s: Array
    read_c: Array
    pit_s: Array
    pit_c: Array
    done_s: float
    rise_k: float
    core_s: Array
    core_c: Array


@dataclass(frozen=True, slots=True)
class Draw:
    """What nature deals: one entry a cook."""

    half: Array
    radius: Array
    start: Array
    set_c: Array
    target: Array
    conv: Array
    conv_low: Array
    low_over: Array
    wall_over: Array
    emit: Array
    wet: Array
    damp: Array
    diffuse: Array
    squeeze: Array
    shrink: Array
    sensor: Array
    wander: Array
    openings: Array
    drop: Array
    turn_every: Array
    wrap_at: Array
    covered: NDArray[np.bool_]
    room: Array
    rest_film: Array
    fat: Array
    probe_z: Array
    probe_r: Array
    stem: Array
    noise: Array
    said: Array
    every: Array


# kind: half mm, radius/half, fire, target, convection, grate side, wall offset sd, wetness,
# opening a cook of, turn every s, minutes between readings
_KINDS = {
    "direct": ((12, 25), (2.0, 3.5), (180, 260), (50, 64), (10, 18), (30, 60)),
    "oven": ((30, 55), (1.2, 2.2), (130, 190), (50, 68), (10, 20), (10, 20)),
    "smoker": ((40, 65), (1.2, 2.4), (103, 132), (88, 96), (5, 10), (5, 10)),
}


def _drawn(kind: str, count: int, rng: np.random.Generator) -> Draw:
    half, wide, fire, target, conv, low = _KINDS[kind]

    def between(pair: tuple[float, float]) -> Array:
        return rng.uniform(*pair, count)

    def around(middle: float, log_sd: float) -> Array:
        return middle * np.exp(rng.normal(0, log_sd, count))

    smoke = kind == "smoker"
    halves = between(half) / 1000
    never = np.full(count, np.inf)
    return Draw(
        half=halves,
        radius=halves * between(wide),
        start=rng.normal(5.0, 1.5, count),
        set_c=np.round(between(fire)),
        target=np.round(between(target)),
        conv=between(conv),
        conv_low=between(low),
        low_over=rng.normal(0, 12 if kind == "direct" else 0, count),
        wall_over=rng.normal(-5, 8, count),
        emit=rng.uniform(0.8, 0.95, count),
        wet=around(0.35 if smoke else 0.6, 0.35),
        damp=rng.uniform(0.015, 0.03, count),
        diffuse=around(3e-9 if smoke else 5e-10, 0.4),
        squeeze=around(2.0 if smoke else 1.0, 0.3),
        shrink=rng.uniform(0.03, 0.12, count),
        sensor=rng.normal(-4 if kind != "direct" else 0, 8, count),
        wander=rng.uniform(2, 6, count),
        openings=between((600, 1500) if kind == "direct" else (2400, 7200)),
        drop=rng.uniform(10, 40, count),
        turn_every=between((60, 360)) if kind == "direct" else never,
        wrap_at=np.where(smoke & (rng.random(count) < 0.45), rng.uniform(64, 75, count), np.inf),
        covered=rng.random(count) < {"direct": 0.3, "oven": 0.7, "smoker": 0.5}[kind],
        room=rng.uniform(8, 30, count),
        rest_film=rng.uniform(*((8, 16) if kind == "direct" else (4, 8)), count),
        fat=rng.uniform(0.05, 0.2, count),
        probe_z=np.clip(np.abs(rng.normal(0, 0.15, count)), 0, 0.5),
        probe_r=np.clip(np.abs(rng.normal(0, 0.15, count)), 0, 0.5),
        stem=rng.uniform(0.0, 0.015, count),
        noise=rng.uniform(0.4, 0.9, count),
        said=rng.uniform(0.87, 1.15, count),
        every=between({"direct": (180, 240), "oven": (480, 900), "smoker": (900, 1500)}[kind]),
    )


def _vapour(at_c: Array) -> Array:
    """Return saturated vapour density, kg/m³ (Magnus with constants for 40 to 110 °C)."""
    return 2.1668e-3 * 611.2 * np.exp(17.27 * at_c / (at_c + 237.3)) / (at_c + 273.15)


class Block:
    """The round blocks of all cooks of a kind, cells (cook, z, r), full height in z."""

    def __init__(self, draw: Draw, nz: int = 24, nr: int = 8) -> None:
        self.draw, self.nz, self.nr = draw, nz, nr
        self.turns = bool(np.isfinite(draw.turn_every).all())
        count = draw.half.size
        self.temp = np.repeat(draw.start, nz * nr).reshape(count, nz, nr)
        lean = (1 - draw.fat)[:, None, None]
        self.water = np.ones_like(self.temp) * 0.75 * lean  # kg a kg of raw meat
        self.first = self.water.copy()
        self.dry = DENSE * (1 - self.first)
        edges = np.linspace(0, 1, nr + 1)
        self.ring = np.diff(edges**2) / 2
        self.edge = edges[1:-1]
        self.scale = np.ones(count)
        self.skins = [
            self.temp[:, 0, :].copy(),
            self.temp[:, -1, :].copy(),
            self.temp[:, :, -1].copy(),
        ]

    def capacity(self) -> Array:
        """Return heat capacity by volume, J/(m³ K)."""
        solid = self.dry * (1750 + 3.0 * self.temp)
        return np.asarray(solid + DENSE * self.water * (4180 + 0.0008 * self.temp**2))

    def conductivity(self) -> Array:
        """Return conductivity, W/(m K)."""
        return np.asarray(0.17 + (0.36 + 0.0011 * self.temp) * self.water)

    def step(
        self,
        dt: float,
        air: Array,
        low: Array,
        wall: Array,
        on: NDArray[np.bool_],
        open_: Array,
        film: tuple[Array, Array, Array],
        damp: Array,
    ) -> None:
        """March heat and water by `dt` seconds; `open_` is 0 where wrapped or covered."""
        d = self.draw
        dz = (2 * d.half * self.scale / self.nz)[:, None, None]
        dr = (d.radius * self.scale / self.nr)[:, None, None]
        k = self.conductivity()
        soak = d.diffuse[:, None, None] * np.exp(0.018 * (self.temp - 40)) * DENSE
        heat, flow = self._inside(self.temp, k, dz, dr), self._inside(self.water, soak, dz, dr)
        sides = (
            (0, (slice(None), 0), dz, film[0], low),
            (1, (slice(None), -1), dz, film[1], air),
            (2, (slice(None), slice(None), -1), dr, film[2], air),
        )
        for which, place, width, conv, around in sides:
            self._side(
                which, place, width[:, :, 0], conv, around, wall, on, open_, damp, k, heat, flow
            )
        self._squeezed(flow)
        self.temp = self.temp + dt * heat / self.capacity()
        self.water = np.maximum(self.water + dt * flow / DENSE, 0.0)
        over = np.maximum(self.temp - 100.0, 0) * (self.water > 0.05)
        self.water = np.maximum(self.water - over * self.capacity() / (HFG * DENSE), 0.0)
        self.temp = self.temp - over
        done = np.clip((self._mean() - 40) / 35, 0, 1)
        self.scale = 1 - d.shrink * done

    def _mean(self) -> Array:
        return np.asarray((self.temp * self.ring).sum((1, 2)) / (self.nz * 0.5))

    def _inside(self, field: Array, k: Array, dz: Array, dr: Array) -> Array:
        """Return the divergence of k grad field, nothing through the sides."""
        out = np.zeros_like(field)
        up = (field[:, 1:] - field[:, :-1]) * 0.5 * (k[:, 1:] + k[:, :-1]) / dz**2
        out[:, :-1] += up
        out[:, 1:] -= up
        side = (field[:, :, 1:] - field[:, :, :-1]) * 0.5 * (k[:, :, 1:] + k[:, :, :-1])
        side *= self.edge / dr**2 / self.nr
        out[:, :, :-1] += side / self.ring[:-1]
        out[:, :, 1:] -= side / self.ring[1:]
        return out

    def _side(
        self,
        which: int,
        place: tuple[slice | int, ...],
        width: Array,
        conv: Array,
        around: Array,
        wall: Array,
        on: NDArray[np.bool_],
        open_: Array,
        damp: Array,
        k: Array,
        heat: Array,
        flow: Array,
    ) -> None:
        """Add what comes through one side; the skin's temperature by two Newton rounds."""
        d = self.draw
        cell, wet = self.temp[place], self.water[place] / self.first[place]
        skin = self.skins[which]
        inward = 2 * k[place] / width
        # off the fire the surface is wetted again by the juices that gather there
        active = np.maximum(
            np.clip(wet / 0.6, 0, 1) ** 1.5, np.where(on, 0.0, 0.5 if self.turns else 0.25)[:, None]
        )
        leave = (d.wet * open_)[:, None] * active * conv[:, None] / (970.0 * 0.92)
        eps = np.where(on, d.emit, 0.9 * open_)[:, None] * SIGMA
        for _ in range(2):
            hot = _vapour(np.minimum(skin, 115.0))
            gone = leave * np.maximum(hot - damp[:, None], 0)
            slope = leave * np.where(hot > damp[:, None], hot * (4100 / (skin + 237.3) ** 2), 0)
            kelvin = skin + 273.15
            gap = (
                conv[:, None] * (around[:, None] - skin)
                - HFG * gone
                - inward * (skin - cell)
                + eps * ((wall[:, None] + 273.15) ** 4 - kelvin**4)
            )
            skin = skin + gap / (conv[:, None] + inward + HFG * slope + 4 * eps * kelvin**3)
        self.skins[which] = skin
        # area over volume of the cell at this side; the outer ring is curved
        density = 1.0 / width if which < 2 else 1.0 / (width * self.ring[-1] * self.nr)
        heat[place] += inward * (skin - cell) * density
        flow[place] -= gone * density

    def _squeezed(self, flow: Array) -> None:
        """Move water outwards where proteins have let go of it: meat loses it above 55 °C."""
        d = self.draw
        holds = self.first * (1 - 0.35 * np.clip((self.temp - 52) / 35, 0, 1))
        loose = np.maximum(self.water - holds, 0) * (d.squeeze * 1.5e-4)[:, None, None] * DENSE
        flow -= loose
        flow[:, 0] += 0.15 * loose.mean(axis=1)
        flow[:, -1] += 0.15 * loose.mean(axis=1)

    def turn(self, which: NDArray[np.bool_]) -> None:
        """Turn these over."""
        self.temp[which] = self.temp[which, ::-1]
        self.water[which] = self.water[which, ::-1]
        low, high = self.skins[0][which].copy(), self.skins[1][which].copy()
        self.skins[0][which], self.skins[1][which] = high, low

    def core(self) -> Array:
        """Return the coldest place, °C."""
        return np.asarray(self.temp[:, :, 0].min(axis=1))

    def probe(self) -> Array:
        """Return what a probe off the middle would feel, °C."""
        d = self.draw
        z = np.clip(((0.5 + d.probe_z / 2) * self.nz - 0.5), 0, self.nz - 1.001)
        r = np.clip(d.probe_r * d.half / d.radius * self.nr - 0.5, 0, self.nr - 1.001)
        i, j, m = z.astype(int), r.astype(int), np.arange(z.size)
        a, b = z - i, r - j
        t = self.temp
        low = t[m, i, j] * (1 - b) + t[m, i, j + 1] * b
        high = t[m, i + 1, j] * (1 - b) + t[m, i + 1, j + 1] * b
        return np.asarray(low * (1 - a) + high * a)


_DT = {"direct": 1.0, "oven": 6.0, "smoker": 10.0}
_LONGEST_H = {"direct": 2.0, "oven": 8.0, "smoker": 34.0}


@dataclass(slots=True)
class _Log:
    """What was true, every so often."""

    at: list[float]
    core: list[Array]
    probe: list[Array]
    sensor: list[Array]


def _cooked(kind: str, draw: Draw, rng: np.random.Generator) -> tuple[_Log, Block, Array, Array]:
    """Return the log of the cooks, each block as it was when done, when that was, and wrapping."""
    block, dt = Block(draw), _DT[kind]
    count = draw.half.size
    drift, lid = np.zeros(count), np.zeros(count)
    next_open = draw.openings * rng.uniform(0.5, 1.5, count)
    next_turn, wrapped = draw.turn_every.copy(), np.full(count, np.inf)
    done = np.full(count, np.inf)
    final = Block(draw)
    log = _Log([], [], [], [])
    on = np.ones(count, bool)
    keep = max(int(20 / dt), 1) if kind == "direct" else int(60 / dt)
    n = 0
    now = 0.0
    while now < _LONGEST_H[kind] * 3600 and not np.isfinite(done).all():
        drift += -drift * dt / 900 + draw.wander * np.sqrt(2 * dt / 900) * rng.normal(size=count)
        opened = now >= next_open
        lid[opened] = draw.drop[opened]
        next_open[opened] = now + draw.openings[opened] * rng.uniform(0.5, 1.5, opened.sum())
        lid *= np.exp(-dt / 200)
        air = draw.set_c + draw.sensor + drift - lid
        if n % keep == 0:
            log.at.append(now)
            log.core.append(block.core())
            log.probe.append(block.probe() + draw.stem * (air - block.probe()))
            log.sensor.append(air - draw.sensor)
        block.step(
            dt,
            air,
            air + draw.low_over,
            air + draw.wall_over,
            on,
            np.where(now >= wrapped, 0.0, 1.0),
            (draw.conv_low, draw.conv, draw.conv),
            draw.damp,
        )
        now += dt
        n += 1
        turning = now >= next_turn
        if turning.any():
            block.turn(turning)
            next_turn[turning] += draw.turn_every[turning]
        wrapped = np.where((block.core() >= draw.wrap_at) & ~np.isfinite(wrapped), now, wrapped)
        ready = (block.core() >= draw.target) & ~np.isfinite(done)
        if ready.any():
            done[ready] = now
            final.temp[ready], final.water[ready] = block.temp[ready], block.water[ready]
            final.scale[ready] = block.scale[ready]
            for a, b in zip(final.skins, block.skins, strict=True):
                a[ready] = b[ready]
    return log, final, done, wrapped


def _rested(kind: str, draw: Draw, block: Block, done: Array) -> Array:
    """Return how far each core rises when pulled as it was done, K."""
    start = draw.target.copy()
    top = block.core()
    dt = _DT[kind]
    on = np.zeros(draw.half.size, bool)
    film = draw.rest_film * np.where(draw.covered, 0.8, 1.0)
    open_ = np.where(draw.covered, 0.25, 1.0)  # a tent lets some steam out
    span = {"direct": 1200, "oven": 4500, "smoker": 9000}[kind]
    for _ in range(int(span / dt)):
        block.step(
            dt,
            draw.room,
            draw.room,
            draw.room,
            on,
            open_,
            (film, film, film),
            np.full(on.size, 0.008),
        )
        top = np.maximum(top, block.core())
    return np.asarray(top - start)


def cooks(kind: str, count: int, seed: int) -> list[Cook]:
    """Return so many cooks of a kind: direct, oven or smoker."""
    rng = np.random.default_rng(seed)
    draw = _drawn(kind, count, rng)
    log, final, done, wrapped = _cooked(kind, draw, rng)
    rise = _rested(kind, draw, final, done)
    at, core, probe = np.array(log.at), np.array(log.core), np.array(log.probe)
    sensor = np.array(log.sensor)
    made = []
    for i in range(count):
        if not np.isfinite(done[i]):
            continue
        reads = np.arange(draw.every[i] * rng.uniform(0.6, 1.4), done[i] + 1, draw.every[i])
        values = np.interp(reads, at, probe[:, i]) + draw.noise[i] * rng.normal(size=reads.size)
        pits = np.concatenate(([0.0], reads))
        turn = draw.turn_every[i]
        made.append(
            Cook(
                kind=kind,
                thickness_cm=round(200 * draw.half[i] * draw.said[i], 1),
                weight_kg=float(np.pi * draw.radius[i] ** 2 * 2 * draw.half[i] * DENSE),
                across_cm=float(200 * draw.radius[i]),
                start_c=5.0,
                set_c=float(draw.set_c[i]),
                target_c=float(draw.target[i]),
                turns_s=tuple(np.arange(turn, done[i], turn)) if np.isfinite(turn) else (),
                wrapped_s=float(wrapped[i]) if np.isfinite(wrapped[i]) else None,
                wrap_c=float(np.round(draw.wrap_at[i])) if np.isfinite(draw.wrap_at[i]) else None,
                covered=bool(draw.covered[i]),
                air_c=float(np.round(draw.room[i], -1)),
                read_s=reads,
                read_c=np.round(values),
                pit_s=pits,
                pit_c=np.round(np.interp(pits, at, sensor[:, i])),
                done_s=float(done[i]),
                rise_k=float(rise[i]),
                core_s=at,
                core_c=core[:, i],
            )
        )
    return made
