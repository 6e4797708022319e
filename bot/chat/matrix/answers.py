"""The library returns errors instead of raising them: here they are raised, and become receipts.

What is uncertain counts as not sent. On this platform that is no guess: asked again under the same
transaction id the server answers with the event it has, or makes it now.
"""

from __future__ import annotations

from collections.abc import Awaitable
from typing import Any

from bot.ports import Gone, NotSent, Receipt, Rejected, Wait
from core.errors import KitchenError

DEFAULT_WAIT_S = 5.0
TOKEN_CODES = frozenset({"M_UNKNOWN_TOKEN", "M_MISSING_TOKEN", "M_USER_DEACTIVATED"})
NOT_AS_IT_IS = frozenset({"M_TOO_LARGE", "M_BAD_JSON", "M_NOT_JSON", "M_INVALID_PARAM"})
CLOSED_TO_US = frozenset({"M_FORBIDDEN", "M_NOT_FOUND", "M_CONSENT_NOT_GIVEN"})


class AccountError(KitchenError):
    """The account cannot be used as it is; somebody has to do something."""

    template = "The Matrix account cannot be used: {why}. {remedy}"

    def __init__(self, why: str, remedy: str) -> None:
        super().__init__(why=why, remedy=remedy)


class UnreachableError(Exception):
    """The server did not answer, or something in front of it answered in its place."""


class RefusedError(Exception):
    """The server said no; `code` is the standard's, `wait_s` how long it asks us to wait."""

    def __init__(self, code: str, words: str, wait_s: float | None = None) -> None:
        self.code, self.words, self.wait_s = code, words, wait_s
        super().__init__(f"{code} {words}".strip())

    @property
    def is_about_the_token(self) -> bool:
        """Say whether we are not logged in any more."""
        return self.code in TOKEN_CODES


async def answered(asked: Awaitable[Any]) -> Any:
    """Return what the server answered; raises where the library would return an error."""
    from aiohttp import ClientError
    from nio import ErrorResponse

    try:
        response = await asked
    except (ClientError, TimeoutError, OSError) as wrong:
        raise UnreachableError(type(wrong).__name__) from wrong
    if isinstance(response, ErrorResponse):
        raise error_of(response)
    return response


def error_of(response: Any) -> RefusedError | UnreachableError:
    """Return an error answer as an exception: without a code nobody of the protocol spoke."""
    code = str(response.status_code or "")
    status = getattr(response.transport_response, "status", 0)
    if code == "M_LIMIT_EXCEEDED" or status == 429:
        wait_ms = response.retry_after_ms
        return RefusedError(
            "M_LIMIT_EXCEEDED", response.message, wait_ms / 1000 if wait_ms else DEFAULT_WAIT_S
        )
    if not code.startswith("M_") or status >= 500:
        return UnreachableError(f"{status or 'no'} answer of the protocol")
    return RefusedError(code, response.message)


def receipt_of(error: RefusedError | UnreachableError) -> Receipt:
    """Return what an error means for the message.

    Examples
    --------
    >>> receipt_of(RefusedError("M_LIMIT_EXCEEDED", "slow down", 4.5))
    Wait(seconds=4.5)
    >>> receipt_of(RefusedError("M_TOO_LARGE", "event too large"))
    Rejected(why='M_TOO_LARGE event too large')
    >>> receipt_of(UnreachableError("502 answer of the protocol"))
    NotSent(why='502 answer of the protocol')
    """
    if isinstance(error, UnreachableError):
        return NotSent(str(error))
    if error.wait_s is not None:
        return Wait(error.wait_s)
    if error.code in NOT_AS_IT_IS:
        return Rejected(str(error))
    if error.code in CLOSED_TO_US:
        return Gone(str(error))
    return NotSent(str(error))


async def raw(client: Any, method: str, path: str, body: dict[str, Any] | None = None) -> Any:
    """Ask the server something the library has no method for; return its JSON."""
    from nio import Api, ErrorResponse

    headers = {
        "Authorization": f"Bearer {client.access_token}",
        "Content-Type": "application/json",
    }
    data = None if body is None else Api.to_json(body)

    async def asked() -> Any:
        reply = await client.send(method, f"/_matrix/client/v3/{path}", data, headers)
        parsed = await client.parse_body(reply)
        if reply.status < 400:
            return parsed
        error = ErrorResponse.from_dict(parsed)
        error.transport_response = reply
        if reply.status == 401 and "flows" in parsed:
            raise RefusedError("UIA", str(parsed.get("session", "")))
        return error

    return await answered(asked())
