"""`plan` at the desk: its verdict, where it breaks, what would help, how many can be booked."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from bot.__main__ import main
from bot.examples import HARVEST_SUPPER
from tests.published import published

SUPPER = str(HARVEST_SUPPER)
NOTE = "common practice: a harvest supper's booking note"


def told(capsys: pytest.CaptureFixture[str], *more: str) -> list[str]:
    assert main(["plan", SUPPER, *more]) == 0
    return capsys.readouterr().out.splitlines()


@published(NOTE + ": OK for 320, fails about 400; a third pit or 5 a minute fixes it")
def test_the_booking_line_says_how_many_and_what_fixes_the_next(
    capsys: pytest.CaptureFixture[str],
) -> None:
    (line,) = [x for x in told(capsys) if x.startswith("Booking:")]
    assert "OK for 320" in line
    assert "fails at 410" in line
    assert "at 20:08; 5 guests a minute or one more P fixes it." in line


def test_a_plan_that_fits_says_so_and_whether_it_is_proved(
    capsys: pytest.CaptureFixture[str],
) -> None:
    lines = told(capsys)
    assert lines[1] == "Fits."
    assert any(line.startswith("Proved:") for line in lines)


def test_a_tight_plan_says_which_load_and_when(capsys: pytest.CaptureFixture[str]) -> None:
    lines = told(capsys, "--heads", "360")
    assert lines[1] == "Tight: Pork collar a3 has 5 min in hand at 19:54."
    assert lines[2] == "Would help: one more P"


def test_nine_hundred_is_answered_first_with_no_then_why_then_what_would_help(
    capsys: pytest.CaptureFixture[str],
) -> None:
    lines = told(capsys, "--heads", "900")
    assert lines[1].startswith("Does NOT fit: trim of pork-collar takes 595 min")
    assert lines[2] == (
        "Would help: 5 guests a minute and one more P and one more person who can raw"
    )
    assert lines[3] == "Would help: 409 guests at most"


def test_no_plan_draws_no_picture(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    picture = tmp_path / "plan.png"
    told(capsys, "--heads", "900", "--png", str(picture))
    assert not picture.exists()


def test_machines_are_told_the_same(capsys: pytest.CaptureFixture[str]) -> None:
    seen = json.loads("\n".join(told(capsys, "--heads", "400", "--json")))
    assert seen["fits"] == "tight"
    assert "5 guests a minute or one more P fixes it" in seen["fixes"][-1]
    yes = json.loads("\n".join(told(capsys, "--json")))
    assert (yes["fits"], yes["fixes"]) == ("yes", [])
