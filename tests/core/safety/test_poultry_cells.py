"""Every cell of the printed poultry table: 12 fat levels, two species, 30 temperatures."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from core.model import Profile, Verdict
from core.safety.cooking import cook_verdict
from core.safety.degrees import of_f
from core.safety.food import Cut, Food, Kind, State
from core.safety.heat_met import Heat
from tests.published import published

PRINTED = tomllib.loads(Path(__file__).with_name("printed_poultry.toml").read_text("utf-8"))
COLUMNS = [(species, fat) for species in ("chicken", "turkey") for fat in range(1, 13)]


def counted(species: str, fat: int, at: int) -> float:
    """Return the seconds a cell stands for: the longest of this fat and every leaner one.

    'Below 10 s' counts as ten, but at 165 °F it is at once.
    """
    seconds = max(PRINTED[species][f"fat_{n}"][at] for n in range(1, fat + 1))
    hottest = PRINTED["temps_f"][at] >= 165
    return 0.0 if hottest else max(float(seconds), 10.0)


@published("USDA FSIS, Time-Temperature Tables for RTE Poultry, Attachment 2, all 720 cells")
@pytest.mark.parametrize(("species", "fat"), COLUMNS)
def test_a_bird_is_done_at_its_printed_time_and_no_sooner(species: str, fat: int) -> None:
    bird = Food(frozenset({Kind.POULTRY}), frozenset({State.INTACT}), frozenset({Cut.PIECE}),
                species=species, fat_pct=float(fat))  # fmt: skip
    for at, temp_f in enumerate(PRINTED["temps_f"]):
        wanted = counted(species, fat, at)
        done = cook_verdict(bird, Heat(of_f(temp_f), wanted), Profile.US)
        assert done.verdict is Verdict.OK, (temp_f, wanted)
        if wanted:
            sooner = wanted - 1 if wanted >= 60 else 0.0  # a climb through colder rows counts
            early = cook_verdict(bird, Heat(of_f(temp_f), sooner), Profile.US)
            assert early.verdict is Verdict.NOT_YET, (temp_f, wanted)


def test_the_table_is_whole() -> None:
    assert len(PRINTED["temps_f"]) == 30
    assert all(len(PRINTED[s][f"fat_{n}"]) == 30 for s, n in COLUMNS)
