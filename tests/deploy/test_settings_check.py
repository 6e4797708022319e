"""`pitcrier serve --check`: a line a setting, what is wrong with each, and never a secret."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from bot.__main__ import main
from bot.settings import KEYS, key_lines

ROOT = Path(__file__).parents[2]
SECRET = "811000:a-secret-nobody-may-see"


def wrong(**environment: str) -> list[str]:
    named = {f"PITCRIER_{name}": value for name, value in environment.items()}
    return [line for line in key_lines(named) if line.startswith("NO")]


def test_every_setting_that_is_read_has_a_line() -> None:
    read = set(re.findall(r'"(PITCRIER_[A-Z_]+)"', (ROOT / "bot/settings.py").read_text("utf-8")))
    assert {key.name for key in KEYS} == read
    assert len(key_lines({})) == len(KEYS)


def test_an_empty_environment_lacks_nothing_and_says_what_then_holds() -> None:
    assert wrong() == []
    assert "OK: PITCRIER_DB is not set: the log is ./pitcrier.db." in key_lines({})


def test_everything_that_is_wrong_is_told_at_once() -> None:
    told = wrong(HELTH_PORT="1", TELEGRAM_WEBHOOK_URL="http://x", MATRIX_USER="@a:b")
    assert [line.split(":")[1].split()[0] for line in told] == [
        "PITCRIER_TELEGRAM_WEBHOOK_URL",
        "PITCRIER_MATRIX_USER",
        "PITCRIER_HELTH_PORT",
        "PITCRIER_MATRIX_SERVER",
    ]


def test_a_secret_that_everybody_can_read_is_no_secret(tmp_path: Path) -> None:
    file = tmp_path / "token"
    file.write_text(SECRET, "utf-8")
    file.chmod(0o644)
    (told,) = wrong(TELEGRAM_TOKEN_FILE=str(file))
    assert "everybody on this machine can read it" in told
    file.chmod(0o640)
    assert wrong(TELEGRAM_TOKEN_FILE=str(file)) == []


def test_a_secret_given_twice_or_in_no_file_is_told(tmp_path: Path) -> None:
    (twice, missing) = wrong(TELEGRAM_TOKEN=SECRET, TELEGRAM_TOKEN_FILE=str(tmp_path / "none"))
    assert "both set" in twice
    assert "No such file" in missing
    assert SECRET not in twice + missing


def test_a_platform_that_does_not_answer_is_a_line_and_no_secret(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PITCRIER_DB", str(tmp_path / "log.db"))
    monkeypatch.setenv("PITCRIER_TELEGRAM_TOKEN", SECRET)
    monkeypatch.setenv("PITCRIER_TELEGRAM_SERVER", "http://127.0.0.1:9")  # nobody listens there
    assert main(["serve", "--check"]) == 2
    out = capsys.readouterr().out
    assert "OK: the database answers; open cooks: none." in out
    assert "NO: telegram: " in out
    assert SECRET not in out
