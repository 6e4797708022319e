"""What the middle needs from the edges: Chat, FactStore, Alarm, Clock, and the values between.

Adapters stop their library at the door: nothing of a platform's types, errors or markup passes.
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Protocol, runtime_checkable

from core.errors import KitchenError
from core.facts import Entry, Fact
from core.model import Answer, Number, Sound, Verdict

# ------------------------------------------------------------------ messages


class Happened(StrEnum):
    """What a platform tells us of; most of it is that somebody said something."""

    SAID = "said"
    EDITED = "edited"  # the newer text of a message said before; `reply_to` is that message
    REACTED = "reacted"  # `text` is the emoji, plain; `reply_to` the message it stands under
    UNREACTED = "unreacted"
    ADDED = "added"  # we were let into the room
    REMOVED = "removed"  # we were put out of it, or blocked
    JOINED = "joined"  # `who` came into the room
    LEFT = "left"
    MOVED = "moved"  # the room has another id now: `text`
    UNREADABLE = "unreadable"  # something was said that we could not decrypt
    NEW_DEVICE = "new device"  # `who` speaks from a device not seen before


@dataclass(frozen=True, slots=True)
class Attached:
    """A photo or file of a message; `ref` is the platform's handle for `Fetches.fetch`."""

    name: str
    kind: str
    size: int
    ref: str


@dataclass(frozen=True, slots=True)
class Incoming:
    """One message heard. `(network, ext_id)` is unique; `sent` is the platform's own time stamp.

    `who` is the platform's name for the sender, `name` what they call themselves there,
    `reply_to` the platform id of the message it answers, as the platform gave it in `Sent.id`,
    `choice` the number of the tapped choice where the platform has taps.
    """

    network: str
    ext_id: str
    room: str
    who: str
    text: str
    sent: datetime
    reply_to: str | None = None
    choice: str | None = None
    private: bool = False
    name: str = ""
    happened: Happened = Happened.SAID
    attached: tuple[Attached, ...] = ()


@dataclass(frozen=True, slots=True)
class Batch:
    """What a platform gave us at once, and how far it has then been read."""

    messages: tuple[Incoming, ...]
    cursor: str | None = None


@dataclass(frozen=True, slots=True)
class Tag:
    """What a message is, for machines that read along; a phone never shows it.

    `kind` is reply, call, room or finding; `to` person ids or ('room',); `line` the script line
    that was answered.
    """

    kind: str
    to: tuple[str, ...]
    verdict: Verdict | None = None
    numbers: tuple[Number, ...] = ()
    keys: tuple[str, ...] = ()
    load: str | None = None
    step: str | None = None
    letter: str | None = None
    line: int | None = None


@dataclass(frozen=True, slots=True)
class Mention:
    """Somebody a message in a room must ring: the platform's name for them, and their own."""

    who: str
    name: str


@dataclass(frozen=True, slots=True)
class Outgoing:
    """One neutral message: lines without markup, choices, sound, perhaps a picture.

    `picture` and `documents` name what `Media` holds. A message that is to stay pinned in its room
    says so; its newer edition comes as an edit. `thread` groups the chatter of one load where the
    platform can.

    `again` is what is put behind the first line of a copy that may be the second one on the
    screen, `late` behind that of a ringing one that goes out over a minute late; both in the
    reader's language. `folds` is how many messages that waited too long are told in this one.
    """

    lines: tuple[str, ...]
    choices: tuple[str, ...] = ()
    sound: Sound = Sound.SILENT
    mention: tuple[Mention, ...] = ()
    picture: str | None = None
    documents: tuple[str, ...] = ()
    pin: bool = False
    thread: str | None = None
    reply_to: str | None = None
    tag: Tag | None = None
    again: str = "(again)"
    late: str = "({n} min late)"
    folds: int = 0

    @property
    def text(self) -> str:
        """Return the lines joined."""
        return "\n".join(self.lines)


# ------------------------------------------------------------------ how a send went


@dataclass(frozen=True, slots=True)
class Sent:
    """It arrived; `id` is the platform's."""

    id: str


@dataclass(frozen=True, slots=True)
class NotSent:
    """It surely did not arrive; try again."""

    why: str


@dataclass(frozen=True, slots=True)
class Ambiguous:
    """Nobody can know."""

    why: str


@dataclass(frozen=True, slots=True)
class Wait:
    """The platform asks for patience, this chat only."""

    seconds: float


@dataclass(frozen=True, slots=True)
class Rejected:
    """The message itself is refused: never again as it is."""

    why: str


@dataclass(frozen=True, slots=True)
class Gone:
    """The chat is closed to us."""

    why: str


@dataclass(frozen=True, slots=True)
class Migrated:
    """The chat has a new id."""

    id: str


@dataclass(frozen=True, slots=True)
class Withdrawn:
    """It was not sent: what it asked for has been done meanwhile."""

    why: str


Receipt = Withdrawn | Sent | NotSent | Ambiguous | Wait | Rejected | Gone | Migrated


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast a platform lets us speak; None means as fast as we can.

    At most `room_burst` messages at once and `room_per_min` in any minute to one room, of which
    the last few are kept for urgent ones; `total_per_s` to all rooms together. The minute counts
    only in rooms whose id begins with `minute_for`; rooms whose ids are the same up to the sign
    `room_before` are one room to the platform.
    """

    room_burst: int | None = None
    room_per_min: int | None = None
    total_per_s: int | None = None
    minute_for: str = ""
    room_before: str = ""


# ------------------------------------------------------------------ the protocols


class Chat(Protocol):
    """A front-end.

    `repeats_harmless` is true where a second send with the same key shows once. `pace` is how
    fast the platform lets us speak.
    """

    network: str
    repeats_harmless: bool
    pace: Pace

    def incoming(self) -> AsyncIterator[Incoming]:
        """Yield what is said, in order per room."""
        ...

    async def send(self, room: str, message: Outgoing, key: str) -> Receipt:
        """Send a message; the key makes repeats harmless where the platform allows."""
        ...

    async def edit(self, receipt: Sent, message: Outgoing) -> Receipt:
        """Replace a message already sent."""
        ...


@runtime_checkable
class Remote(Chat, Protocol):
    """A front-end on a platform: it gives batches, and fetches what was attached.

    A batch counts as taken, and the platform is told so, when the next one is asked for; by then
    it is in the inbox.
    """

    def batches(self) -> AsyncIterator[Batch]:
        """Yield what the platform gives, until `stop`."""
        ...

    async def fetch(self, ref: str) -> bytes:
        """Return an attached file; raises `FetchError` with the reason in words."""
        ...

    async def stop(self) -> None:
        """Stop listening and let go of the platform."""
        ...


@runtime_checkable
class Hears(Protocol):
    """A front-end that may be kept from hearing all that is said in a room."""

    async def hears(self, room: str) -> bool | None:
        """Return whether it hears everything said in a room; None if nobody can tell."""
        ...


class FetchError(Exception):
    """An attached file that cannot be had: gone, too large, or the platform does not answer."""


@dataclass(frozen=True, slots=True)
class Medium:
    """A picture or document to send: its file name, MIME type, bytes, and its words for a reader
    who cannot see it.
    """

    name: str
    kind: str
    content: bytes
    alt: str = ""


class Media(Protocol):
    """Where a front-end finds the pictures and documents a message names."""

    async def medium(self, name: str) -> Medium | None:
        """Return what is called so, drawn when first wanted; None if it cannot be made."""
        ...


class Clock(Protocol):
    """The time, injected."""

    def now(self) -> datetime:
        """Return the present instant, UTC."""
        ...


class Alarm(Protocol):
    """Wakes the pump once, at the latest instant it was set to."""

    def set(self, at: datetime, ring: Callable[[], Awaitable[None]]) -> None:
        """Replace the alarm."""
        ...

    def stop(self) -> None:
        """Forget the alarm."""
        ...


# ------------------------------------------------------------------ the store's values


HEAD_HERE = "\ue000head\ue000"
"""In a message that is committed with facts: the store puts the chain's new head there, short."""

HEAD_SHOWN = 12


@dataclass(frozen=True, slots=True)
class NewFact:
    """A fact to append."""

    at: datetime
    by: str
    fact: Fact


@dataclass(frozen=True, slots=True)
class NewSend:
    """A message to send. `key` is unique for ever; `priority` 0 urgent, 1 answer, 2 chatter.

    `edit_of` is the key of an earlier send that this replaces on the screen. `must` says whether
    an ambiguous send is repeated (marked) or let go. What is still waiting at `good_until` is
    folded into one message with what else waits for its room.
    """

    key: str
    network: str
    room: str
    message: Outgoing
    priority: int = 1
    edit_of: str | None = None
    must: bool = False
    not_before: datetime | None = None
    good_until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Wake:
    """When a stream next has a call due; None for nothing. Stored with the facts it follows from.

    A cache: a stream whose facts came without one is looked at at once.
    """

    at: datetime | None


@dataclass(frozen=True, slots=True)
class Due:
    """A stream that has a call due since then, or may have."""

    stream: str
    at: datetime


@dataclass(frozen=True, slots=True)
class News:
    """What another copy has committed, of the kind that must not wait for the next look.

    Something is owed on `network`; a stream wakes at `wake`; a cook's `people` or rooms are others
    now. `everything` may have happened while nobody listened.
    """

    network: str | None = None
    wake: datetime | None = None
    people: str | None = None
    everything: bool = False


@dataclass(frozen=True, slots=True)
class Heard:
    """An inbox row."""

    id: int
    message: Incoming
    attempts: int = 0


@dataclass(frozen=True, slots=True)
class Enclosed:
    """What came of a message's file: the sha256 of a photo that is kept, or what to answer."""

    photo: str | None = None
    said: Answer | None = None


@dataclass(frozen=True, slots=True)
class Owed:
    """An outbox row that is to be sent now; `repeat` marks one that may already have arrived.

    `due` is when it should have gone out.
    """

    key: str
    network: str
    room: str
    message: Outgoing
    attempts: int
    repeat: bool
    priority: int
    edit_of: Sent | None = None
    must: bool = False
    due: datetime | None = None


@dataclass(frozen=True, slots=True)
class Trouble:
    """A message that was given up, or a room that is closed: somebody else must be told.

    `closed` is true where the room takes nothing any more, `unsure` where it may have arrived.
    """

    key: str
    network: str
    room: str
    message: Outgoing
    why: str
    closed: bool = False
    unsure: bool = False


@dataclass(frozen=True, slots=True)
class Seat:
    """A person of a cook, as a platform calls them, and the private room they opened.

    `room` '' is one they closed again; None says nothing of it.
    """

    cook: str
    person: str
    network: str
    who: str
    room: str | None = None


@dataclass(frozen=True, slots=True)
class CrewRoom:
    """A room and the cook it works for."""

    network: str
    room: str
    cook: str


@dataclass(frozen=True, slots=True)
class Invitation:
    """What a one-time code stands for: a person of a cook, until it is used or too old."""

    cook: str
    person: str
    until: datetime


@dataclass(frozen=True, slots=True)
class StoreFigures:
    """What a monitor wants to know of the store: counts and seconds, no names, no words.

    `owed` counts by priority; `failed` by how messages ended that did not arrive; `worst_late_s`
    is due to sent, of urgent messages of the last hour.
    """

    inbox_waiting: int = 0
    inbox_aside: int = 0
    owed: Mapping[int, int] = field(default_factory=dict)
    oldest_owed_s: float = 0.0
    worst_late_s: float = 0.0
    failed: Mapping[str, int] = field(default_factory=dict)
    next_call: datetime | None = None


class PeopleStore(Protocol):
    """Names, addresses and rooms: outside the chain of facts, so they can be erased."""

    async def name(self, cook: str, person: str, name: str) -> None:
        """Store what a person id is called."""
        ...

    async def names(self, cook: str) -> dict[str, str]:
        """Return the names of a cook's person ids."""
        ...

    async def seat(self, seat: Seat) -> None:
        """Store how a platform calls a person; a newer private room replaces the old one."""
        ...

    async def unseat(self, seat: Seat) -> None:
        """Forget how a platform calls a person of a cook."""
        ...

    async def seats(self) -> Sequence[Seat]:
        """Return everybody who can be reached, for all cooks."""
        ...

    async def open_room(self, room: CrewRoom) -> None:
        """Let a room work for a cook; it works for one at a time."""
        ...

    async def leave_room(self, network: str, room: str) -> None:
        """Let a room work for no cook."""
        ...

    async def rooms(self) -> Sequence[CrewRoom]:
        """Return the rooms that work for a cook."""
        ...

    async def invite(self, code: str, invitation: Invitation) -> None:
        """Store a one-time code, as a hash; a person's older codes fall away."""
        ...

    async def accept(self, code: str, now: datetime) -> Invitation | None:
        """Use a code up and return what it stood for; None for a wrong, used or old one."""
        ...

    async def erase(self, network: str, who: str) -> None:
        """Erase an account: its names, its addresses, every word it typed and was told alone."""
        ...


class StaleError(Exception):
    """Somebody else appended first: read again and decide again."""


class HandledError(Exception):
    """The inbox row was closed before: nothing is left to do for it."""


class StoreError(KitchenError):
    """The database cannot be opened, read or written; nothing of the transaction was kept."""

    template = "The log cannot be used: {why}. {remedy}"

    def __init__(self, why: str, remedy: str) -> None:
        super().__init__(why=why, remedy=remedy)


class Together(Protocol):
    """Where several copies of the process share a store: who holds a post, and their news.

    A post is what exactly one copy must do at a time, such as listening to a platform.
    """

    @property
    def shared(self) -> bool:
        """Return whether there may be other copies at all."""
        ...

    async def run(
        self,
        posts: Sequence[str],
        change: Callable[[frozenset[str]], None],
        heard: Callable[[News], None],
    ) -> None:
        """Hold what can be held until cancelled; each change says all that is then held."""
        ...


class FactStore(Protocol):
    """inbox, facts, outbox, cursor: each method is one transaction. See DEVELOPERS.md."""

    @property
    def together(self) -> Together:
        """Return how this copy gets on with others on the same store."""
        ...

    @property
    def people(self) -> PeopleStore:
        """Return the names, addresses and rooms kept beside the log."""
        ...

    async def hear(self, messages: Sequence[Incoming], cursor: tuple[str, str] | None) -> int:
        """Store what a platform gave us and how far it was read; return how many were new."""
        ...

    async def unhandled(
        self, limit: int = 100, networks: Collection[str] | None = None
    ) -> Sequence[Heard]:
        """Return inbox rows not done, oldest first; of these networks, or of all."""
        ...

    async def cursor(self, network: str) -> str | None:
        """Return how far a platform was read."""
        ...

    async def append(
        self,
        stream: str,
        expected: int,
        facts: Sequence[NewFact],
        heard_at: datetime,
        sends: Sequence[NewSend] = (),
        done: int | None = None,
        wake: Wake | None = None,
    ) -> Sequence[Entry]:
        """Append facts at `expected + 1`, queue sends and close inbox row `done`, in one commit.

        A send whose key exists is skipped. Raises `StaleError` if the stream has moved on (with
        no facts nothing can clash) and `HandledError` if row `done` was closed before.
        """
        ...

    async def fail(self, inbox_id: int, why: str, sends: Sequence[NewSend] = ()) -> None:
        """Count a failed attempt at an inbox row; after the third it is set aside."""
        ...

    async def read(self, stream: str, after: int = 0) -> Sequence[Entry]:
        """Return a stream's entries with seq above `after`, in order."""
        ...

    async def streams(self, prefix: str) -> Sequence[str]:
        """Return the streams whose name starts so, sorted."""
        ...

    async def running(self, prefix: str) -> Sequence[str]:
        """Return those of the streams that may still be under way, in order of their beginning."""
        ...

    async def head(self, stream: str) -> tuple[int, str]:
        """Return a stream's last seq and chain hash ('' when empty)."""
        ...

    async def verify(self, stream: str) -> int | None:
        """Return the seq of the first entry whose hash does not fit, or None."""
        ...

    async def wakes(self, until: datetime) -> Sequence[str]:
        """Return the streams that have a call due by then, or may have, the earliest first."""
        ...

    async def take_wakes(self, now: datetime, most: int, after: Due | None = None) -> Sequence[Due]:
        """Take streams that have a call due in hand, the earliest first, behind `after`.

        Other copies leave them alone until their next wake is stored, or for a few seconds.
        """
        ...

    async def next_wake(self) -> datetime | None:
        """Return when the first stream that nobody has in hand has a call due; None for none."""
        ...

    async def set_wake(self, stream: str, wake: Wake) -> None:
        """Correct a stream's wake after a look at it found nothing due."""
        ...

    async def claim(self, network: str, now: datetime, limit: int = 20) -> Sequence[Owed]:
        """Mark due outbox rows 'sending', commit, and return them: urgent first, one per room."""
        ...

    async def settle(self, key: str, receipt: Receipt, now: datetime) -> None:
        """Record how a send went and what follows from it."""
        ...

    async def defer(self, key: str, until: datetime, now: datetime) -> None:
        """Put a claimed row back for a while, by our own pace; no attempt is counted."""
        ...

    async def next_send(self, network: str) -> datetime | None:
        """Return when the next outbox row may be sent; None when nothing is owed."""
        ...

    async def sent_message(self, network: str, receipt: str) -> Outgoing | None:
        """Return the message we sent that the platform knows by this id; None if none."""
        ...

    async def troubles(self) -> Sequence[Trouble]:
        """Return what was given up and not yet told to anybody."""
        ...

    async def told(self, key: str) -> None:
        """Record that somebody was told of a trouble."""
        ...

    async def last_beat(self) -> datetime | None:
        """Return when we were last known to be alive; None at the very first start."""
        ...

    async def beat(self, now: datetime) -> datetime | None:
        """Record that we are alive; return when we last were, None at the very first start."""
        ...

    async def figures(self, now: datetime) -> StoreFigures:
        """Return what a monitor wants to know."""
        ...

    async def backup(self, to: Path) -> None:
        """Write a consistent copy while running."""
        ...

    async def close(self) -> None:
        """Let go of the database."""
        ...
