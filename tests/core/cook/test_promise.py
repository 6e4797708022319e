"""What the chef is told when more heads do not fit from where the day stands."""

from __future__ import annotations

from core.cook import decide
from core.cook.change import lateness_min, remade
from core.facts import ChangeHeads
from core.model import Line, Qty
from tests.core.cook.test_better import CHEF, at, begun


def most_told(lines: tuple[Line, ...]) -> int | None:
    """Return how many could be fed in time, as the answer says it."""
    waiting = list(lines)
    while waiting:
        line = waiting.pop()
        if "at most in time" in line.text:
            n = line.fields["n"]
            assert isinstance(n, Qty)
            return int(n.value)
        waiting += [field for field in line.fields.values() if isinstance(field, Line)]
    return None


def test_too_many_heads_are_told_with_how_many_would_be_in_time() -> None:
    now = at("15:10")
    answer = decide(begun(), ChangeHeads(450), by=CHEF, at=now, now=now).answer
    assert answer is not None
    most = most_told(answer.lines)
    assert most is not None
    cook = begun()
    assert cook.plates_at is not None
    assert lateness_min(remade(cook, most, cook.plates_at, now)) == 0
    assert lateness_min(remade(cook, most + 1, cook.plates_at, now)) > 0


def test_heads_that_fit_are_told_without_a_limit() -> None:
    now = at("15:10")
    answer = decide(begun(), ChangeHeads(365), by=CHEF, at=now, now=now).answer
    assert answer is not None
    assert most_told(answer.lines) is None
