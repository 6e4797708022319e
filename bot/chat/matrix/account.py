"""Which server, which user, which folder; and how much a server lets us say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from pathlib import Path

from bot.ports import Pace

DECLINED = "Only people on the crew of a cook can invite me. Ask the lead to add you."


def nobody(_: str) -> bool:
    """Know nobody, and no room."""
    return False


@dataclass(frozen=True, slots=True)
class Allowance:
    """How many events an account may send: so many at once, then so many a second.

    `per_s` None means the operator lifted the limit.
    """

    burst: int = 10
    per_s: float | None = 0.2

    @property
    def pace(self) -> Pace:
        """Return the same as the outbox understands it."""
        return Pace() if self.per_s is None else Pace(room_burst=self.burst, total_per_s=self.burst)


SYNAPSE_DEFAULT = Allowance()
"""Ten at once, then one every five seconds, for all rooms of the account together."""

UNLIMITED = Allowance(per_s=None)


@dataclass(frozen=True)
class Account:
    """Everything an operator chooses.

    `folder` holds session, crypto store and signing seeds; it is made, closed to other users, and
    must be backed up only while the bot is stopped. `secret` seals what lies in it; without one a
    random one is made and lies beside, which still keeps the rest from being read alone.
    The password is needed for the first login, after a revoked token and after a lost store.
    `may_invite` says whose invitation is accepted, and `is_crews` in which rooms everybody's is.
    `reset_signing` replaces signing keys that the
    account got elsewhere.
    """

    homeserver: str
    user: str
    folder: Path
    password: str = field(default="", repr=False)
    secret: str = field(default="", repr=False)
    device_name: str = "Pitcrier"
    may_invite: Callable[[str], bool] = nobody
    is_crews: Callable[[str], bool] = nobody
    declined: str = DECLINED
    allowance: Allowance = SYNAPSE_DEFAULT
    reset_signing: bool = False
    largest_file: int = 20_000_000
    poll_s: float = 30.0
    key_grace_s: float = 5.0


class Purse:
    """What is left of the allowance just now.

    The last events of a burst are kept for what rings: a quiet copy waits, a call does not.
    """

    KEPT_FOR_RINGING = 3

    def __init__(self, allowance: Allowance) -> None:
        self._allowance = allowance
        self._left = float(allowance.burst)
        self._at: datetime | None = None
        self._shut_until: datetime | None = None

    def wait_s(self, events: int, now: datetime, *, rings: bool) -> float:
        """Take so many events, or return after how long to ask again; 0 means taken.

        Examples
        --------
        >>> purse, now = Purse(Allowance(burst=4, per_s=0.5)), datetime(2031, 6, 7, 12)
        >>> [purse.wait_s(1, now, rings=False) for _ in range(2)]
        [0.0, 2.0]
        >>> [purse.wait_s(1, now, rings=True) for _ in range(4)]
        [0.0, 0.0, 0.0, 2.0]
        """
        rate = self._allowance.per_s
        if self._shut_until is not None and now < self._shut_until:
            return (self._shut_until - now).total_seconds()
        if rate is None:
            return 0.0
        self._refill(rate, now)
        floor = 0 if rings else min(self.KEPT_FOR_RINGING, self._allowance.burst - 1)
        missing = min(events, self._allowance.burst - floor) + floor - self._left
        if missing > 0:
            return missing / rate
        self._left -= events
        return 0.0

    def spend(self, now: datetime) -> None:
        """Count an event that was not asked for first, such as our coming into a room."""
        if self._allowance.per_s is not None:
            self._refill(self._allowance.per_s, now)
            self._left -= 1

    def _refill(self, rate: float, now: datetime) -> None:
        passed_s = (now - self._at).total_seconds() if self._at else 0.0
        self._left = min(float(self._allowance.burst), self._left + max(passed_s, 0.0) * rate)
        self._at = now

    def refused(self, seconds: float, now: datetime) -> None:
        """Take note that the server asked for patience: it means the account, not one room."""
        self._shut_until = now + timedelta(seconds=seconds)
