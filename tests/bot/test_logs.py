from __future__ import annotations

import io
import json
import logging
from collections.abc import Iterator

import pytest

from bot.logs import HIDDEN, Redaction, log_to

BOT_TOKEN = "123456789:" + "AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsawx"  # invented, in the usual shape
SECRETS = [
    BOT_TOKEN,
    "syt_cGl0_abcdefghijklmnop_1a2B3c",
    "mct_abcdefghij1234567890_Ab12Cd",
]


@pytest.fixture
def lines() -> Iterator[io.StringIO]:
    root = logging.getLogger()
    before, level = root.handlers, root.level
    stream = io.StringIO()
    log_to(stream, ["our-own-long-secret"])
    yield stream
    root.handlers, root.level = before, level


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
