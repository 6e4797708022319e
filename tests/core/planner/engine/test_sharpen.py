"""The exact engine on cards: proofs, better plans, and a way out where it has nothing."""

from __future__ import annotations

import builtins
from datetime import timedelta
from typing import Any

import pytest

from core.model import Cards, Progress
from core.planner import changes, check, plan, replan
from tests.core.planner.days import harvest, supper, wedding
from tests.core.planner.test_replan import at, jammed


@pytest.mark.parametrize("cards", [wedding(), harvest(), supper()])
def test_the_engine_proves_the_printed_days_and_moves_nothing(cards: Cards) -> None:
    listed, sharp = plan(cards), plan(cards, engine="cp")
    assert listed.engine == "list"
    assert sharp.engine.endswith(" proved")
    assert changes(listed, sharp).nothing


def test_the_engine_finds_room_the_list_does_not() -> None:
    listed, sharp = plan(harvest(), heads=410), plan(harvest(), heads=410, engine="cp")
    worst = [min(load.slack_min for load in p.loads) for p in (listed, sharp)]
    assert worst[1] > worst[0] + 20
    assert check(harvest(), sharp) == ()


def test_a_replan_by_the_engine_is_sound_and_no_later() -> None:
    cards = wedding()
    first = plan(cards)
    repaired = replan(cards, first, jammed(cards), letter="B", reason="")
    sharp = replan(cards, first, jammed(cards), letter="B", reason="", engine="cp")
    worst = [min(load.slack_min for load in p.loads) for p in (repaired, sharp)]
    assert worst[1] >= worst[0]
    assert check(cards, sharp, at(cards, "12:47")) == ()


def test_what_has_begun_stands_for_the_engine_too() -> None:
    cards = supper()
    first = plan(cards)
    now = first.loads[1].on + timedelta(minutes=1)
    started = {f"{load.id}/smoke": load.on for load in first.loads[:2]}
    progress = Progress(now, started=started, down={"P1": (now, None)})
    made = replan(cards, first, progress, letter="B", reason="", engine="cp")
    assert [load.on for load in made.loads[:2]] == [load.on for load in first.loads[:2]]
    assert all(load.station == "P2" for load in made.loads[2:])


def test_without_a_solver_there_is_still_a_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def none_here(name: str, *args: Any, **kwargs: Any) -> Any:
        if name.startswith("core.planner.engine"):
            raise ImportError(name)
        return real(name, *args, **kwargs)

    monkeypatch.setattr(builtins, "__import__", none_here)
    made = plan(harvest(), heads=365, engine="cp")
    assert made.engine == "list"
    assert made.fits == "tight"


def test_a_plan_loads_no_solver_unless_asked() -> None:
    import subprocess
    import sys

    code = (
        "import sys; from tests.core.planner.days import supper; from core.planner import plan; "
        "plan(supper()); print('ortools' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"
