from __future__ import annotations

import io
import json
import logging
import sys
import threading
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import quote

import pytest

from bot.logs import HIDDEN, JsonLines, Redaction, log_to
from bot.settings import MatrixSettings, Settings, TelegramSettings

BOT_TOKEN = "123456789:" + "AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsawx"  # invented, in the usual shape
SECRETS = [
    BOT_TOKEN,
    "syt_cGl0_abcdefghijklmnop_1a2B3c",
    "mct_abcdefghij1234567890_Ab12Cd",
]


@pytest.fixture
def lines() -> Iterator[io.StringIO]:
    root = logging.getLogger()
    before, level, hook, thread_hook = (
        *(root.handlers, root.level),
        *(sys.excepthook, threading.excepthook),
    )
    stream = io.StringIO()
    log_to(stream, ["our-own-long-secret"])
    yield stream
    root.handlers, root.level = before, level
    sys.excepthook, threading.excepthook = hook, thread_hook


def said(stream: io.StringIO) -> dict[str, object]:
    (line,) = stream.getvalue().splitlines()
    values: dict[str, object] = json.loads(line)
    return values


def test_a_record_is_one_line_with_its_values(lines: io.StringIO) -> None:
    logging.getLogger("pitcrier.outbox").info("sent\nnow", extra={"key": "c:1", "room": 7})
    found = said(lines)
    assert found.pop("at") is not None
    assert found == {
        "level": "info",
        "from": "pitcrier.outbox",
        "what": "sent\nnow",
        "key": "c:1",
        "room": 7,
    }


@pytest.mark.parametrize("secret", [*SECRETS, "our-own-long-secret"])
def test_a_token_appears_nowhere_in_a_line(lines: io.StringIO, secret: str) -> None:
    try:
        raise OSError(f"POST https://example.org/bot{secret}/send failed")
    except OSError:
        logging.getLogger("x").exception("asking %s", secret, extra={"url": f"/{secret}/a"})
    assert secret not in lines.getvalue()
    assert lines.getvalue().count(HIDDEN) >= 3
    assert "Traceback" in str(said(lines)["error"])


@pytest.mark.parametrize(
    ("text", "hidden"),
    [
        ("Authorization: Bearer abcdef1234567890", "Authorization: Bearer [hidden]"),
        ("postgresql://bot:s3cr3t@db/x", "postgresql://[hidden]@db/x"),
        ("GET /sync?access_token=abc123&since=1", "GET /sync?access_token=[hidden]&since=1"),
        ("password=hunter22 user=x", "password=[hidden] user=x"),
        ("https://api.example.org/bot42:short/getMe", "https://api.example.org/bot[hidden]/getMe"),
        ("/file/bot42:short/photos/1.jpg", "/file/bot[hidden]/photos/1.jpg"),
        ('{"access_token": "opaque-1", "user": "x"}', '{"access_token": "[hidden]", "user": "x"}'),
        (r"body {\"access_token\":\"opaque-1\"}", r"body {\"access_token\":\"[hidden]\"}"),
        ("{'password': 'hunter22'}", "{'password': '[hidden]'}"),
        ("Authorization: Basic Ym90OnMzY3IzdA==", "Authorization: Basic [hidden]"),
    ],
)
def test_what_looks_like_a_secret_is_hidden(text: str, hidden: str) -> None:
    assert Redaction()(text) == hidden


@pytest.mark.parametrize(
    "text",
    [
        "18:02 load on, core 54.0 °C",
        "c:golden-wedding-1:lamb/A/pull:0:ana",
        "sha256 990c679c984eb0dae0a2c51a1cce52dc86219064d5cf28930486c7a22bcee4af",
        "2026-06-13T09:00:00Z sqlite:///pitcrier.db",
        "the password is not understood",
    ],
)
def test_what_a_cook_or_an_inspector_needs_stays(text: str) -> None:
    assert Redaction(["short"])(text) == text


@pytest.mark.parametrize(
    "said", ['a"quoted\\one', "with space and / and é", "plus+and&and=", "plain-enough"]
)
def test_a_known_secret_is_hidden_however_it_is_written(said: str) -> None:
    stream = io.StringIO()
    handler = logging.StreamHandler(stream)
    handler.setFormatter(JsonLines(Redaction([said])))
    record = logging.LogRecord("x", 30, "", 0, "%s %s %s", (said, quote(said, ""), [said]), None)
    handler.emit(record)
    (line,) = stream.getvalue().splitlines()
    shown: str = json.loads(line)["what"]
    assert said not in shown
    assert quote(said, "") not in shown
    assert shown.count(HIDDEN) == 3


def test_a_secret_in_a_chain_of_errors_is_hidden_in_all_of_it(lines: io.StringIO) -> None:
    try:
        try:
            raise OSError(f"connecting to https://example.org/bot{BOT_TOKEN}/getUpdates")
        except OSError as first:
            raise RuntimeError(f"giving up with {BOT_TOKEN}") from first
    except RuntimeError:
        logging.getLogger("x").exception("polling")
    assert BOT_TOKEN not in lines.getvalue()
    assert "direct cause" in str(said(lines)["error"])


def test_what_ends_the_program_is_logged_without_its_tokens(lines: io.StringIO) -> None:
    try:
        raise OSError(f"GET /bot{BOT_TOKEN}/getMe")
    except OSError as wrong:
        sys.excepthook(type(wrong), wrong, wrong.__traceback__)
    found = said(lines)
    assert (found["level"], found["what"]) == ("critical", "crashed")
    assert BOT_TOKEN not in lines.getvalue()


def test_what_ends_a_thread_is_logged_without_its_tokens(lines: io.StringIO) -> None:
    def breaks() -> None:
        raise OSError(f"GET /bot{BOT_TOKEN}/getMe")

    thread = threading.Thread(target=breaks)
    thread.start()
    thread.join()
    assert said(lines)["what"] == "crashed"
    assert BOT_TOKEN not in lines.getvalue()


def test_every_secret_of_the_settings_is_known_to_the_log() -> None:
    settings = Settings(
        "postgresql://pit:db-password@db/pit",
        TelegramSettings("the-bot-token", webhook_secret="the-webhook-secret"),
        MatrixSettings("https://h", "@pit:h", Path("x"), "the-password", "the-store-secret"),
    )
    assert set(settings.secrets) == {
        *("db-password", "the-bot-token", "the-webhook-secret"),
        *("the-password", "the-store-secret"),
    }
    assert Settings().secrets == ()
