"""Published scheduling instances read as the planner's own problems."""

from __future__ import annotations

import json
import tomllib
from dataclasses import replace
from functools import cache
from math import inf
from pathlib import Path
from typing import Any

from core.planner.jobs import Appetite, Group, Hand, Lag, Op, Place, Problem, Touch

PUBLISHED = Path(__file__).parent / "published"


def op(key: str, minutes: float, places: tuple[str, ...] = (), **changes: Any) -> Op:
    """A bare op: so long, on one of these."""
    return replace(
        Op(key, "", "", "", 0, key, key, 1, minutes, minutes, minutes, inf, places=places),
        **changes,
    )


@cache
def _job_shops() -> dict[str, dict[str, Any]]:
    rows = json.loads((PUBLISHED / "job_shops.json").read_text("utf-8"))["instances"]
    return {row["name"]: row for row in rows}


def job_shop(name: str) -> Problem:
    """Every job a load, every machine a fire with room for one."""
    row = _job_shops()[name]
    groups = []
    for j, (minutes, machines) in enumerate(zip(row["minutes"], row["machines"], strict=True)):
        ops: list[Op] = []
        for k, (long, machine) in enumerate(zip(minutes, machines, strict=True)):
            after = (Lag(ops[-1].key),) if ops else ()
            ops.append(op(f"j{j:02}/{k:02}", long, (f"m{machine}",), after=after))
        groups.append(Group(f"j{j:02}", f"j{j:02}", 1, "", 1, tuple(ops)))
    count = 1 + max(machine for machines in row["machines"] for machine in machines)
    places = {f"m{m}": Place(f"m{m}", f"m{m}") for m in range(count)}
    return Problem(tuple(groups), places, {}, 0.0)


def job_shop_optimum(name: str) -> int:
    return int(_job_shops()[name]["optimum"])


def longest(problem: Problem) -> float:
    """All ops one after the other."""
    return sum(o.ideal for o in problem.ops().values())


def project(name: str) -> Problem:
    """A PSPLIB project (.sm): jobs in order of precedence, resources as pools."""
    lines = (PUBLISHED / name).read_text("utf-8").splitlines()
    follows = _table(lines, "jobnr.    #modes")
    wants = _table(lines, "jobnr. mode duration", skip=2)
    room = [int(x) for x in lines[lines.index("RESOURCEAVAILABILITIES:") + 2].split()]
    after: dict[int, list[int]] = {}
    for row in follows:
        for later in row[3:]:
            after.setdefault(later, []).append(row[0])
    ops = [
        op(
            str(number),
            float(minutes),
            uses=tuple((f"r{k}", n) for k, n in enumerate(uses) if n),
            after=tuple(Lag(str(b)) for b in after.get(number, [])),
        )
        for number, _, minutes, *uses in wants
    ]
    pools = {f"r{k}": n for k, n in enumerate(room)}
    return Problem((Group("project", "", 1, "", 1, tuple(ops)),), {}, {}, 0.0, pools=pools)


def _table(lines: list[str], title: str, skip: int = 1) -> list[list[int]]:
    start = next(n for n, line in enumerate(lines) if line.startswith(title)) + skip
    rows = []
    for line in lines[start:]:
        if line.startswith("*"):
            break
        rows.append([int(x) for x in line.split()])
    return rows


def project_with_maxima(name: str) -> Problem:
    """A ProGen/max project (.sch): lags from start to start, some of them negative (maxima)."""
    rows = [line.split() for line in (PUBLISHED / name).read_text("utf-8").splitlines()]
    count = int(rows[0][0]) + 2
    long = {int(r[0]): float(r[2]) for r in rows[1 + count : 1 + 2 * count]}
    uses = {int(r[0]): [int(x) for x in r[3:]] for r in rows[1 + count : 1 + 2 * count]}
    after: dict[int, list[Lag]] = {}
    for row in rows[1 : 1 + count]:
        number, many = int(row[0]), int(row[2])
        targets, weights = row[3 : 3 + many], row[3 + many :]
        for target, weight in zip(targets, weights, strict=True):
            lag = float(weight.strip("[]"))
            after.setdefault(int(target), []).append(Lag(str(number), lag - long[number]))
    ops = [
        op(
            str(n),
            long[n],
            uses=tuple((f"r{k}", u) for k, u in enumerate(uses[n]) if u),
            after=tuple(after.get(n, [])),
        )
        for n in range(count)
    ]
    room = [int(x) for x in rows[1 + 2 * count]]
    pools = {f"r{k}": n for k, n in enumerate(room)}
    return Problem((Group("project", "", 1, "", 1, tuple(ops)),), {}, {}, 0.0, pools=pools)


@cache
def _guests() -> dict[str, Any]:
    return tomllib.loads((PUBLISHED / "guests.toml").read_text("utf-8"))


def micro_names() -> list[str]:
    return [row["name"] for row in _guests()["micro"]]


def micro(name: str) -> tuple[Problem, tuple[float, ...]]:
    """A tiny kitchen and its best (late, held, changes)."""
    row = next(r for r in _guests()["micro"] if r["name"] == name)
    hands = {f"p{n}": Hand(f"p{n}", ((-inf, inf),)) for n in range(row.get("hands_available", 0))}
    touches = tuple(
        Touch(offset, minutes, 1, tuple(hands)) for offset, minutes in row.get("hand_steps", [])
    )
    groups: list[Group] = []
    lumps: dict[str, list[tuple[float, int]]] = {}
    by_dish: dict[str, int] = {}
    for minutes, portions, due, _, limit, grill, temp in row["loads"]:
        dish = f"t{temp}"
        number = by_dish[dish] = by_dish.get(dish, 0) + 1
        cook = op(
            f"{dish}/{number}/grill",
            minutes,
            (f"g{grill}",),
            dish=dish,
            temp_c=float(temp),
            touches=touches,
        )
        groups.append(
            Group(
                f"{dish}/{number}",
                dish,
                number,
                str(number),
                portions,
                (cook,),
                due,
                due,
                floor=due - limit,
                target=due,
                served=True,
            )
        )
        lumps.setdefault(dish, []).append((float(due), portions))
    limits = {f"t{r[6]}": (r[3], r[4]) for r in row["loads"]}
    appetites = {d: Appetite(d, tuple(sorted(x)), *limits[d]) for d, x in lumps.items()}
    grills = sorted({f"g{r[5]}" for r in row["loads"]})
    places = {g: Place(g, g, fire=True, hotter=10, cooler=15) for g in grills}
    problem = Problem(tuple(groups), places, hands, 0.0, hours=((-inf, inf),), appetites=appetites)
    return problem, tuple(float(x) for x in row["optimum"])


def evening(copies: int = 1) -> Problem:
    """The evening of 320 guests: chicken, steak and pork, two grills, six people.

    With `copies` of everything in one pot: kitchen, crew, loads and guests.
    """
    data = _guests()["event320"]
    crew = [
        (f"{row['name']}{'' if n == 0 else f'-{n}'}", row)
        for n in range(copies)
        for row in data["crew"]
    ]
    hands = {name: _person(name, row) for name, row in crew}
    skills = {name: set(row["skills"]) for name, row in crew}
    dishes = {
        row["name"]: {**row, "demand": [[m, n * copies] for m, n in row["demand"]]}
        for row in data["dish"]
    }
    grills = [f"{g}{'' if n == 0 else f'-{n}'}" for n in range(copies) for g in data["grills"]]
    groups: list[Group] = []
    eaten: dict[str, int] = {}
    for load_id, name, portions, grill in data["sizing"]["loads"]:
        for n in range(copies):
            known = f"{load_id}{'' if n == 0 else f'-{n}'}"
            dish = dishes[name]
            on = grill if grill < 0 else grill + 2 * n
            ops = tuple(_blocks(known, dish, portions, grills, on, skills))
            number = sum(g.dish == name for g in groups) + 1
            groups.append(_load(known, dish, number, portions, ops, eaten))
    setup, cold = data["setup"], float(data["cold_heat_up"])
    places = {
        g: Place(g, g, fire=True, opens=cold, hotter=setup["hotter"], cooler=setup["cooler"])
        for g in grills
    }
    places["smoker"] = Place("smoker", "smoker", room=data["smoker_places"] * copies)
    places["oven"] = Place("oven", "oven", room=data["oven_places"] * copies)
    places["table"] = Place("table", "table", room=data["tables"] * copies)
    appetites = {
        name: Appetite(
            name,
            tuple((float(m), n) for m, n in dish["demand"]),
            dish["ideal_hold"],
            dish["hold_limit"],
        )
        for name, dish in dishes.items()
    }
    return Problem(
        tuple(groups),
        places,
        hands,
        630.0,
        hours=((0.0, float(data["horizon"])),),
        pools={"fridge": data["fridge_litres"] * copies},
        appetites=appetites,
    )


def _load(
    load_id: str,
    dish: dict[str, Any],
    number: int,
    portions: int,
    ops: tuple[Op, ...],
    eaten: dict[str, int],
) -> Group:
    """A load with whom it feeds, first in first out."""
    name = dish["name"]
    lumps = [(float(m), n) for m, n in dish["demand"]]
    needed = _eaten_at(lumps, eaten.get(name, 0) + 1)
    eaten[name] = eaten.get(name, 0) + portions
    last = _eaten_at(lumps, eaten[name])
    floor = min(last - dish["hold_limit"], needed)
    return Group(
        load_id,
        name,
        number,
        load_id,
        portions,
        ops,
        needed,
        last,
        floor=floor,
        target=needed,
        served=True,
    )


def _person(name: str, row: dict[str, Any]) -> Hand:
    low, high = row["break_window"]
    starts, ends = row["shift"]
    return Hand(
        name,
        ((float(starts), float(ends)),),
        float(row["break"]),
        break_window=(float(low), float(high)),
    )


def _eaten_at(lumps: list[tuple[float, int]], portion: int) -> float:
    """When the n-th portion is eaten."""
    so_far = 0
    for minute, portions in lumps:
        so_far += portions
        if so_far >= portion:
            return minute
    return lumps[-1][0]


def _blocks(
    load_id: str,
    dish: dict[str, Any],
    portions: int,
    grills: list[str],
    grill: int,
    skills: dict[str, set[str]],
) -> list[Op]:
    """One load's blocks; the cold wait after the first is an op of its own, in the fridge."""
    litres = round(dish["fridge_litres_per_portion"] * portions)
    ops: list[Op] = []
    for n, block in enumerate(dish["blocks"]):
        places: tuple[str, ...] = (block["machine"],) if block["machine"] else ()
        if places == ("grill",):
            places = (grills[grill],)
        if block["table"]:
            places = ("table",)
        touches = tuple(
            Touch(o, w, 1, tuple(p for p in sorted(skills) if skill in skills[p]))
            for o, w, skill in block["crew"]
        )
        after: tuple[Lag, ...] = ()
        if ops:
            least, most = dish["lags"][n - 1]
            cold = n == 1 and litres
            after = (Lag(ops[-1].key, 0.0, 0.0),) if cold else (Lag(ops[-1].key, least, most),)
            if cold:
                wait = op(
                    f"{load_id}/{n}-wait",
                    least,
                    dish=dish["name"],
                    index=2 * n - 1,
                    least=float(least),
                    most=float(most),
                    hard=float(most),
                    flexible=True,
                    uses=(("fridge", litres),),
                    after=after,
                )
                ops.append(wait)
                after = (Lag(wait.key, 0.0, 0.0),)
        ops.append(
            op(
                f"{load_id}/{n}-{block['name']}",
                float(block["minutes"]),
                places,
                dish=dish["name"],
                index=2 * n,
                temp_c=float(dish["temperature"]) if block["machine"] == "grill" else None,
                touches=touches,
                after=after,
                uses=(("fridge", litres),) if n == 0 and litres else (),
            )
        )
    return ops
