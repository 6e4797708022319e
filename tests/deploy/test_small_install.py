"""The small install: nightly backup with its drill, units and settings that say what they mean."""

from __future__ import annotations

import configparser
import os
import re
import sqlite3
import subprocess
import sys
from collections.abc import Iterable
from importlib.metadata import requires
from pathlib import Path

import pytest

from bot.examples import GOLDEN_WEDDING

ROOT = Path(__file__).parents[2]
SMALL = ROOT / "deploy" / "small"
Done = subprocess.CompletedProcess[str]
COMMAND = (sys.executable, "-m", "bot")


def pitcrier(*words: str | Path, db: Path, said: str = "") -> Done:
    environment = os.environ | {"PITCRIER_DB": str(db)}
    return subprocess.run(
        [*COMMAND, *map(str, words)],
        cwd=ROOT,
        env=environment,
        input=said,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A log with a cook in it."""
    db = tmp_path_factory.mktemp("log") / "pitcrier.db"
    assert pitcrier("chat", GOLDEN_WEDDING, db=db, said="status\n").returncode == 0
    return db


@pytest.fixture
def command(tmp_path: Path) -> Path:
    """The command as the unit finds it: one file."""
    path = tmp_path / "pitcrier"
    path.write_text(f'#!/bin/sh\ncd {ROOT}\nexec {sys.executable} -m bot "$@"\n', "utf-8")
    path.chmod(0o755)
    return path


def night(command: Path, db: Path, folder: Path, keep: int = 14) -> Done:
    environment = os.environ | {
        "PITCRIER": str(command),
        "PITCRIER_DB": str(db),
        "KEEP": str(keep),
    }
    return subprocess.run(
        ["/bin/sh", str(SMALL / "backup.sh"), str(folder)],
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_night_leaves_a_copy_that_was_restored_and_verified(
    log: Path, command: Path, tmp_path: Path
) -> None:
    done = night(command, log, tmp_path / "backups")
    assert done.returncode == 0, done.stderr
    (copy,) = (tmp_path / "backups").glob("*.db")
    assert "1 chains, 0 broken." in done.stdout
    restored = pitcrier("restore", copy, "--db", tmp_path / "again.db", db=log)
    assert restored.returncode == 0, restored.stderr
    shown = pitcrier("log", "golden-wedding-1", "--db", tmp_path / "again.db", db=log)
    assert "Chain holds." in shown.stdout


def test_a_copy_of_an_edited_log_fails_the_drill(log: Path, command: Path, tmp_path: Path) -> None:
    edited = tmp_path / "edited.db"
    edited.write_bytes(log.read_bytes())
    with sqlite3.connect(edited) as connection:
        connection.execute("UPDATE facts SET body = replace(body, '60', '61') WHERE seq = 3")
    connection.close()
    done = night(command, edited, tmp_path / "backups")
    assert done.returncode == 2
    assert "BROKEN cook:golden-wedding-1 at #3" in done.stdout


def test_only_the_last_nights_are_kept(log: Path, command: Path, tmp_path: Path) -> None:
    folder = tmp_path / "backups"
    folder.mkdir()
    for day in (1, 2, 3):
        (folder / f"pitcrier-2026060{day}T040000Z.db").write_bytes(b"old")
    assert night(command, log, folder, keep=2).returncode == 0
    kept = sorted(path.name for path in folder.glob("*.db"))
    assert len(kept) == 2
    assert kept[0] == "pitcrier-20260603T040000Z.db"


def test_an_unedited_log_verifies(log: Path) -> None:
    done = pitcrier("verify", db=log)
    assert (done.returncode, done.stdout) == (
        0,
        "OK cook:golden-wedding-1\n1 chains, 0 broken.\n",
    )


def test_the_example_names_every_setting_and_no_other() -> None:
    read = set(re.findall(r'"(PITCRIER_[A-Z_]+)"', (ROOT / "bot" / "settings.py").read_text()))
    named = set(re.findall(r"PITCRIER_[A-Z_]+", (ROOT / "deploy/pitcrier.env.example").read_text()))
    assert {name.removesuffix("_FILE") for name in named} == read


def test_no_setting_of_the_example_has_words_behind_its_value() -> None:
    # systemd and containers would take them for a part of it
    lines = (ROOT / "deploy/pitcrier.env.example").read_text("utf-8").splitlines()
    given = [line for line in lines if re.match(r"(# )?PITCRIER_[A-Z_]+=", line)]
    assert len(given) > 10
    assert [line for line in given if re.search(r"=.*[\s#]", line)] == []


def test_the_bot_runs_with_no_rights_and_a_watchdog() -> None:
    unit = configparser.ConfigParser(strict=False, interpolation=None)
    unit.optionxform = str  # type: ignore[assignment,method-assign]  # keys keep their case
    unit.read_string((SMALL / "pitcrier.service").read_text("utf-8"))
    service = unit["Service"]
    assert service["DynamicUser"] == "yes"
    assert service["NoNewPrivileges"] == "yes"
    assert service["CapabilityBoundingSet"] == ""
    assert service["ProtectSystem"] == "strict"
    assert service["Type"] == "notify"
    assert int(service["WatchdogSec"]) > 90


def test_what_builds_the_package_is_pinned_with_all_that_it_needs() -> None:
    def names(lines: Iterable[str]) -> set[str]:
        return {re.sub(r"[-_.]+", "-", re.split(r"[^\w.-]", x)[0]).casefold() for x in lines}

    lock = (ROOT / "deploy" / "requirements.build.lock").read_text("utf-8").splitlines()
    pinned = names(line for line in lock if re.match(r"[\w.-]+==", line))
    needs, known = {"hatchling", "editables"}, set[str]()
    while needs - known:
        name = (needs - known).pop()
        known.add(name)
        needs |= names(
            r for r in requires(name) or () if "extra ==" not in r and "; python" not in r
        )
    assert needs == pinned


def test_nothing_is_installed_that_is_not_pinned_by_its_hash() -> None:
    for name in ("Containerfile", "install.sh"):
        joined = (SMALL / name).read_text("utf-8").replace("\\\n", " ")
        pips = re.findall(r"pip (?:install|wheel)[^&\n]*|-m pip [^&\n]*", joined)
        assert pips
        assert all("--require-hashes" in pip or "--no-deps" in pip for pip in pips), pips


def test_the_container_runs_as_nobody_special_from_a_pinned_list() -> None:
    text = (SMALL / "Containerfile").read_text("utf-8")
    assert "--require-hashes" in text
    assert re.search(r"^USER 10001$", text, re.MULTILINE)
    assert "HEALTHCHECK" in text


def test_the_pins_of_the_container_are_those_of_the_tests() -> None:
    def pins(path: Path) -> set[str]:
        return set(re.findall(r"^[\w.-]+==[\w.+!-]+", path.read_text("utf-8"), re.MULTILINE))

    tested = pins(ROOT / "requirements.lock")
    for lock in ("run", "build"):
        found = pins(ROOT / "deploy" / f"requirements.{lock}.lock")
        assert found
        assert found <= tested


def test_every_library_the_bot_runs_on_is_on_the_list_of_licences() -> None:
    def plain(name: str) -> str:
        return re.sub(r"[-_.]+", "-", name).casefold()

    lock = (ROOT / "deploy" / "requirements.run.lock").read_text("utf-8")
    others = ("sys_platform", "platform_python_implementation")  # for other machines than this
    lines = [line for line in lock.splitlines() if re.match(r"[\w.-]+==", line)]
    pinned = {plain(line.split("==")[0]) for line in lines if not any(o in line for o in others)}
    table = (ROOT / "deploy" / "LICENCES.md").read_text("utf-8")
    listed = {plain(name) for name in re.findall(r"^\| ([\w.-]+) \|", table, re.MULTILINE)}
    assert pinned - listed == set()
