"""The command line: exit status 0, or 2 with one clear line; JSON to the letter of the contract."""

from __future__ import annotations

import json
import sqlite3
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from bot.__main__ import main
from bot.examples import GOLDEN_WEDDING, HARVEST_SUPPER

SCHEMAS = Path(__file__).parent / "schemas"
WEDDING = str(GOLDEN_WEDDING)


def validated(text: str, name: str) -> dict[str, Any]:
    value: dict[str, Any] = json.loads(text)
    jsonschema.validate(value, json.loads((SCHEMAS / f"{name}.json").read_text("utf-8")))
    return value


@pytest.mark.parametrize("folder", [GOLDEN_WEDDING, HARVEST_SUPPER])
def test_plan_json_is_of_the_contract(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["plan", str(folder), "--json"]) == 0
    plan = validated(capsys.readouterr().out, "plan")
    assert plan["letter"] == "A"
    assert plan["calls"]


def test_five_to_one_in_an_18_litre_tub_is_15_and_3(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ask", "5to1 conc 18L tub how much", "--json"]) == 0
    answer = validated(capsys.readouterr().out, "ask")
    numbers = {n["name"]: n["value"] for n in answer["numbers"]}
    assert (numbers["water"], numbers["concentrate"]) == (15, 3)  # by hand: 18 / (5 + 1)


def test_what_is_not_known_is_an_answer_not_an_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ask", "will it rain on tuesday", "--json"]) == 0
    assert validated(capsys.readouterr().out, "ask")["verdict"] == "UNKNOWN"


def test_a_spanish_question_gets_a_spanish_answer(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["ask", "salmuera 6% 25 kg pollo"]) == 0
    assert "25 L de agua + 1,5 kg de sal" in capsys.readouterr().out  # by hand: 60 g/L, 1 L/kg


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["plan", "nowhere"], "nowhere"),
        (["plan", WEDDING, "--heads", "0"], "0 guests"),
        (["plan", WEDDING, "--heads", "-4"], "-4 guests"),
        (["plan", WEDDING, "--png", "/nowhere/at/all.png"], "/nowhere/at/all.png"),
        (["ask", "hi", "--profile", "mars"], "mars"),
        (["ask", "hi", "--lang", "xx"], "xx"),
        (["ask", "hi", "--at", "25:99"], "25:99"),
        (["ask", "hi", "--at", "12:00"], "--event"),
        (["check", "nowhere"], "nowhere"),
        (["check"], "folder"),
        (["log", "nobody-1", "--db", "/nowhere/x.db"], "/nowhere/x.db"),
        (["rehearse", WEDDING, "--script", "nowhere.txt"], "nowhere.txt"),
        (["demo", "--speed", "-1"], "speed"),
        (["chat", WEDDING, "--as", "Zoe"], "Zoe"),
    ],
)
def test_bad_input_is_one_clear_line_and_status_2(
    arguments: list[str], says: str, capsys: pytest.CaptureFixture[str], tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    assert main(arguments) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert says in told.err
    assert len(told.err.strip().splitlines()) == 1


@pytest.mark.parametrize("arguments", [[], ["dance"], ["plan"], ["plan", WEDDING, "--heads", "x"]])
def test_a_wrong_command_line_is_one_line_and_status_2(
    arguments: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    assert left.value.code == 2
    assert len(capsys.readouterr().err.strip().splitlines()) == 1


def test_a_script_error_names_file_and_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    script = tmp_path / "day.txt"
    script.write_text("# a comment\n12:00 Nobody: hello\n", "utf-8")
    assert main(["rehearse", WEDDING, "--script", str(script)]) == 2
    assert f"{script}:2: nobody called 'Nobody'" in capsys.readouterr().err


def typed(folder: Path, text: bytes, *arguments: str) -> subprocess.CompletedProcess[bytes]:
    """Run the chat as a process of its own with piped input."""
    command = [sys.executable, "-m", "bot", "chat", WEDDING, *arguments]
    command += ["--db", str(folder / "log.db")]
    return subprocess.run(command, input=text, capture_output=True, timeout=60, check=False)


def test_chat_takes_anything_that_can_be_typed(tmp_path: Path) -> None:
    lines = [b"", b"   ", b"\xff\xfe\x00binary", b"x" * 100_000, "🔥🔥".encode(), b"[[[", b"A on"]
    lines += [b"-5 kg", b"999999999999999999999999 heads", b"1e308", b"'; drop table facts; --"]
    done = typed(tmp_path, b"\n".join(lines) + b"\nstatus\n", "--as", "Bo")
    assert done.returncode == 0
    assert done.stderr == b""
    assert "Plan A" in done.stdout.decode()


def test_a_cook_goes_on_where_it_was_left(tmp_path: Path) -> None:
    first = typed(tmp_path, b"pit 112\n", "--as", "Bo").stdout.decode()
    assert "Cook golden-wedding-1 started" in first
    second = typed(tmp_path, b"status\n", "--as", "Ana").stdout.decode()
    assert "Cook golden-wedding-1 goes on; you are Ana" in second


def test_the_log_shows_an_edit_made_behind_its_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(tmp_path, b"pit 112\n", "--as", "Bo")
    base = ["log", "golden-wedding-1", "--db", str(tmp_path / "log.db")]
    assert main(base) == 0
    assert "Chain holds" in capsys.readouterr().out
    database = sqlite3.connect(tmp_path / "log.db")
    with database:
        database.execute("UPDATE facts SET body = replace(body, '112', '105') WHERE seq > 3")
    database.close()
    assert main(base) == 0
    assert "CHAIN BROKEN at #" in capsys.readouterr().out


def test_an_unknown_cook_is_told_which_there_are(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(tmp_path, b"status\n")
    assert main(["log", "other-1", "--db", str(tmp_path / "log.db")]) == 2
    assert "golden-wedding-1" in capsys.readouterr().err


def test_a_backup_can_be_taken_while_the_chat_runs_and_put_back(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command = [sys.executable, "-m", "bot", "chat", WEDDING, "--as", "Bo"]
    command += ["--db", str(tmp_path / "log.db")]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as chat:
        assert chat.stdin is not None
        assert chat.stdout is not None
        while b"you are Bo" not in chat.stdout.readline():
            pass
        copy = tmp_path / "copy.db"
        assert main(["backup", str(copy), "--db", str(tmp_path / "log.db")]) == 0
        chat.stdin.close()
        chat.stdout.read()
    new = tmp_path / "new.db"
    assert main(["restore", str(copy), "--db", str(new)]) == 0
    assert main(["restore", str(copy), "--db", str(new)]) == 2  # never over what is there
    capsys.readouterr()
    assert main(["log", "golden-wedding-1", "--db", str(new)]) == 0
    assert "Chain holds" in capsys.readouterr().out
