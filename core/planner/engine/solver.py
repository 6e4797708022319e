"""A thin layer over OR-Tools CP-SAT; no other file imports it.

Same input, same plan: one worker, a fixed seed, and a limit in deterministic time instead of
seconds. One presolve rule is off because of a wrong proof reported upstream (or-tools #5293).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ortools.sat.python import cp_model

Var = cp_model.IntVar
Expr = cp_model.LinearExprT
Stay = cp_model.IntervalVar
Literal = cp_model.LiteralT
Model = cp_model.CpModel
Domain = cp_model.Domain


@dataclass(frozen=True, slots=True)
class Effort:
    """How hard to try: deterministic time (about seconds on a slow core), seed, presolve."""

    deterministic: float = 8.0
    seed: int = 1
    presolve: bool = True
    workers: int = 1
    seconds: float | None = None


@dataclass(frozen=True)
class Answer:
    """What a solve found. `values` are by variable index; empty if nothing was found."""

    status: str
    value: float | None
    bound: float | None
    values: Mapping[int, int]
    deterministic: float

    @property
    def found(self) -> bool:
        """Return whether there is a solution."""
        return self.status in {"proved", "best_found"}

    def of(self, var: Var) -> int:
        """Return a variable's value."""
        return self.values[var.index]


_STATUS = {
    cp_model.OPTIMAL: "proved",
    cp_model.FEASIBLE: "best_found",
    cp_model.INFEASIBLE: "impossible",
}


def total(terms: Sequence[Expr]) -> Expr:
    """Return the sum of terms as one expression."""
    return cp_model.LinearExpr.sum(list(terms))


def weighted(variables: Sequence[Var], weights: Sequence[int]) -> Expr:
    """Return the weighted sum of variables."""
    return cp_model.LinearExpr.weighted_sum(list(variables), list(weights))


def hint(model: Model, values: Mapping[int, int]) -> None:
    """Tell a model where the last solution was."""
    model.clear_hints()  # type: ignore[no-untyped-call]
    for index, value in values.items():
        model.add_hint(model.get_int_var_from_proto_index(index), value)


def solve(model: Model, effort: Effort) -> Answer:
    """Solve a model within an effort."""
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    parameters.num_workers = effort.workers
    parameters.random_seed = effort.seed
    parameters.max_deterministic_time = effort.deterministic
    parameters.cp_model_presolve = effort.presolve
    parameters.presolve_inclusion_work_limit = 0
    if effort.seconds is not None:
        parameters.max_time_in_seconds = effort.seconds
    status = solver.solve(model)
    name = _STATUS.get(status, "unknown")
    spent = float(solver.response_proto.deterministic_time)
    if name not in {"proved", "best_found"}:
        return Answer(name, None, None, {}, spent)
    solution = solver.response_proto.solution
    values = {index: int(value) for index, value in enumerate(solution)}
    return Answer(name, solver.objective_value, solver.best_objective_bound, values, spent)
