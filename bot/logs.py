"""What the program says of itself: one JSON object a line, no token in it, whatever happened.

Redaction works on the finished line, so that it also covers tracebacks, a library's own messages
and values nobody thought of.
"""

from __future__ import annotations

import json
import logging
import re
import sys
import threading
from collections.abc import Iterable
from datetime import UTC, datetime
from types import TracebackType
from typing import TextIO
from urllib.parse import quote

HIDDEN = "[hidden]"
SHORTEST_SECRET = 8
"""A shorter one is no secret, and hiding it would tear words apart."""

_PATTERNS = (
    re.compile(r"()\d{6,12}:[A-Za-z0-9_-]{30,}"),  # a bot's token: number, colon, 35 signs
    re.compile(r"(?i)(/bot)\d+:[^/\s\"'\\]+"),  # whatever stands where it does in an address
    re.compile(r"()(?:syt|mct|mat|mcr|mca|syr)_[A-Za-z0-9_=-]{8,}"),  # a homeserver's tokens
    re.compile(r"(?i)(bearer |basic )[A-Za-z0-9._~+/=-]{8,}"),  # RFC 6750, RFC 7617
    re.compile(r"(://)[^/\s:@\"]*:[^/\s@\"]+(?=@)"),  # user and password in an address
    re.compile(
        r"(?i)((?:access_token|refresh_token|login_token|pickle_key|password|passwd)"
        r"\\?[\"']?\s*[=:]\s*\\?[\"']?)[^\s,;&\"'\\]{3,}"
    ),
)
"""What is before the secret is a group, and stays."""

_USUAL = frozenset(vars(logging.LogRecord("", 0, "", 0, "", (), None))) | {"message", "taskName"}


class Redaction:
    """Hides tokens: those it is told, and everything that looks like one."""

    def __init__(self, secrets: Iterable[str] = ()) -> None:
        long = [secret for secret in secrets if len(secret) >= SHORTEST_SECRET]
        known = {form for secret in long for form in _forms(secret)}
        longest_first = sorted(known, key=len, reverse=True)
        self._known = re.compile("|".join(map(re.escape, longest_first))) if known else None

    def __call__(self, text: str) -> str:
        """Return the text without its secrets.

        Examples
        --------
        >>> Redaction()("GET /bot123456789:AAHdqTcvCH1vGWJxfSeofSAs0K5PALDsawx/getMe")
        'GET /bot[hidden]/getMe'
        """
        if self._known is not None:
            text = self._known.sub(HIDDEN, text)
        for pattern in _PATTERNS:
            text = pattern.sub(rf"\1{HIDDEN}", text)
        return text


def _forms(secret: str) -> set[str]:
    """Return a secret as it may stand in a line: plain or quoted, in an address, in JSON."""
    said = {secret, repr(secret)[1:-1], quote(secret), quote(secret, safe="")}
    return {form for text in said for form in (text, json.dumps(text, ensure_ascii=False)[1:-1])}


class JsonLines(logging.Formatter):
    """One record, one line: at, level, what, the values beside it, a traceback if there is one."""

    def __init__(self, redaction: Redaction) -> None:
        super().__init__()
        self._redaction = redaction

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        said: dict[str, object] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "from": record.name,
            "what": record.getMessage(),
        }
        said |= {k: v for k, v in vars(record).items() if k not in _USUAL and k not in said}
        if record.exc_info:
            said["error"] = self.formatException(record.exc_info)
        return self._redaction(json.dumps(said, ensure_ascii=False, default=str))


def log_to(stream: TextIO, secrets: Iterable[str] = (), level: int = logging.INFO) -> None:
    """Send everything the program and its libraries log to a stream, one JSON object a line."""
    handler = logging.StreamHandler(stream)
    handler.setFormatter(JsonLines(Redaction(secrets)))
    root = logging.getLogger()
    root.handlers = [handler]
    root.setLevel(level)
    sys.excepthook = _crashed
    threading.excepthook = _thread_crashed
    # these two tell every request and every job; what matters of them is in our own lines
    for chatty in ("httpx", "apscheduler"):
        logging.getLogger(chatty).setLevel(logging.WARNING)


def _crashed(kind: type[BaseException], wrong: BaseException, trace: TracebackType | None) -> None:
    """Log what ends the program, for Python's own report hides no token."""
    if not issubclass(kind, KeyboardInterrupt):
        logging.getLogger("pitcrier").critical("crashed", exc_info=(kind, wrong, trace))


def _thread_crashed(crash: threading.ExceptHookArgs) -> None:
    if crash.exc_value is not None:
        _crashed(crash.exc_type, crash.exc_value, crash.exc_traceback)
