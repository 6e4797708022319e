"""What the program says of itself: one JSON object a line, no token in it, whatever happened.

Redaction works on the finished line, so that it also covers tracebacks, a library's own messages
and values nobody thought of.
"""

from __future__ import annotations

import json
import logging
import re
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import TextIO

HIDDEN = "[hidden]"
SHORTEST_SECRET = 8
"""A shorter one is no secret, and hiding it would tear words apart."""

_PATTERNS = (
    re.compile(r"\d{6,12}:[A-Za-z0-9_-]{30,}"),  # a bot's token: number, colon, 35 signs
    re.compile(r"(?:syt|mct|mat|mcr|mca|syr)_[A-Za-z0-9_=-]{8,}"),  # a homeserver's tokens
    re.compile(r"(?i)(?<=bearer )[A-Za-z0-9._~+/=-]{8,}"),  # RFC 6750
    re.compile(r"(?<=://)[^/\s:@\"]*:[^/\s@\"]+(?=@)"),  # user and password in an address
    re.compile(r"(?i)(?<=access_token=)[^&\s\"]+"),
    re.compile(r"(?i)(?<=password[\"'=: ]{1})[^\s,;&\"']{3,}"),
)

_USUAL = frozenset(vars(logging.LogRecord("", 0, "", 0, "", (), None))) | {"message", "taskName"}


class Redaction:
    """Hides tokens: those it is told, and everything that looks like one."""

    def __init__(self, secrets: Iterable[str] = ()) -> None:
        known = sorted((s for s in secrets if len(s) >= SHORTEST_SECRET), key=len, reverse=True)
        self._known = re.compile("|".join(map(re.escape, known))) if known else None

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
            text = pattern.sub(HIDDEN, text)
        return text


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
    # these two tell every request and every job; what matters of them is in our own lines
    for chatty in ("httpx", "apscheduler"):
        logging.getLogger(chatty).setLevel(logging.WARNING)
