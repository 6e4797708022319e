"""What a failed send means: told by the exception and by its cause.

Two traps of the library: a refused message (`BadRequest`) is a subclass of `NetworkError`, and a
timeout says only by its cause whether anything was sent at all.
"""

from __future__ import annotations

from datetime import timedelta

from bot.ports import Ambiguous, Gone, Migrated, NotSent, Receipt, Rejected, Wait

NEVER_SENT = frozenset({"ConnectError", "ConnectTimeout", "PoolTimeout"})
"""The HTTP client's exceptions that are raised before a byte of the request has gone out."""

NOT_MODIFIED = "message is not modified"
HIDDEN = "[hidden]"


def receipt_of(error: Exception, token: str) -> Receipt:
    """Return what an exception of the library means for the message that was being sent."""
    from telegram.error import (
        BadRequest,
        ChatMigrated,
        Conflict,
        Forbidden,
        InvalidToken,
        NetworkError,
        RetryAfter,
    )

    why = words_of(error, token)
    match error:
        case RetryAfter():
            return Wait(seconds_of(error.retry_after))
        case ChatMigrated():
            return Migrated(str(error.new_chat_id))
        case Forbidden():
            return Gone(why)
        case BadRequest():
            return Rejected(why)
        case InvalidToken() | Conflict():
            return NotSent(why)
        case NetworkError() if type(error.__cause__).__name__ in NEVER_SENT:
            return NotSent(why)
        case _:
            return Ambiguous(why)


def seconds_of(span: float | timedelta) -> float:
    """Return a span in seconds, however the library gives it."""
    return span.total_seconds() if isinstance(span, timedelta) else float(span)


def words_of(error: BaseException, token: str) -> str:
    """Return what an exception says, without the token that some of them quote."""
    cause = f" ({type(error.__cause__).__name__})" if error.__cause__ else ""
    return f"{error or type(error).__name__}{cause}".replace(token, HIDDEN)
