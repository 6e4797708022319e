"""The tables. Times are whole microseconds UTC, states short words with a check of our own.

`facts` is the truth and is never changed. `outbox` is the truth about delivery. `inbox` and
`cursor` are what platforms gave us and how far we read. People and rooms stand outside the chain
of hashes, so that names and addresses can be erased.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, CheckConstraint, Column, Index, Integer, MetaData, text
from sqlalchemy.schema import UniqueConstraint
from sqlmodel import Field, SQLModel

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}
"""Every constraint has a name, so that a later migration can speak of it."""

METADATA = MetaData(naming_convention=NAMES)

INBOX_STATES = ("new", "done", "aside")
OUTBOX_STATES = (
    "later",  # not to be sent before its time
    "owed",
    "sending",  # committed before the platform is called
    "sent",
    "let_go",  # nobody knows whether it arrived, and it was not worth a second one
    "superseded",  # a newer edit of the same message took its place
    "folded",  # past its use, told in one catch-up with others
    "split",  # refused once, sent again as plain parts
    "refused",  # refused twice: set aside and told
    "gone",  # its room is closed: set aside and told
)


def _one_of(states: tuple[str, ...]) -> str:
    return f"state IN ({', '.join(repr(s) for s in states)})"


def _counted() -> Column[int]:
    """Return a primary key that counts up; SQLite only counts an INTEGER."""
    return Column(
        BigInteger().with_variant(Integer, "sqlite"), primary_key=True, autoincrement=True
    )


def _us(*, empty: bool = False, default: str | None = None) -> Column[int]:
    return Column(BigInteger, nullable=empty, server_default=default)


class Base(SQLModel):
    """Gives every table our naming convention."""

    metadata = METADATA


class Inbox(Base, table=True):
    """What platforms gave us; the pair of network and platform id is heard once."""

    __table_args__ = (
        UniqueConstraint("network", "ext_id"),
        CheckConstraint(_one_of(INBOX_STATES), name="state"),
        Index(
            "ix_inbox_new",
            "id",
            sqlite_where=text("state = 'new'"),
            postgresql_where=text("state = 'new'"),
        ),
    )

    id: int = Field(sa_column=_counted())
    network: str
    ext_id: str
    room: str
    who: str
    body: str | None = None  # the message as JSON; None once it was erased
    heard_us: int = Field(sa_column=_us())
    state: str = Field(default="new", sa_column_kwargs={"server_default": "new"})
    attempts: int = Field(default=0, sa_column_kwargs={"server_default": "0"})
    why: str | None = None


class Facts(Base, table=True):
    """The log. `body` is the whole entry and what is hashed; the other columns repeat it."""

    __table_args__ = (
        Index(
            "ix_facts_first",
            "stream",
            sqlite_where=text("seq = 1"),
            postgresql_where=text("seq = 1"),
        ),
        Index(
            "ix_facts_ends",
            *("stream", "type", "seq"),
            sqlite_where=text("type IN ('CookClosed', 'Undone')"),
            postgresql_where=text("type IN ('CookClosed', 'Undone')"),
        ),
    )

    stream: str = Field(primary_key=True)
    seq: int = Field(primary_key=True)
    at_us: int = Field(sa_column=_us())
    heard_us: int = Field(sa_column=_us())
    by: str
    type: str
    version: int
    body: str
    hash: str


class Outbox(Base, table=True):
    """What is sent and how it went."""

    __table_args__ = (
        UniqueConstraint("key"),
        CheckConstraint(_one_of(OUTBOX_STATES), name="state"),
        Index(
            "ix_outbox_owed",
            *("network", "priority", "id"),
            sqlite_where=text("state = 'owed'"),
            postgresql_where=text("state = 'owed'"),
        ),
        Index(
            "ix_outbox_sending",
            *("network", "room"),
            sqlite_where=text("state = 'sending'"),
            postgresql_where=text("state = 'sending'"),
        ),
        Index(
            "ix_outbox_later",
            *("network", "not_before_us"),
            sqlite_where=text("state = 'later'"),
            postgresql_where=text("state = 'later'"),
        ),
        Index(
            "ix_outbox_stale",
            *("network", "good_until_us"),
            sqlite_where=text("state = 'owed' AND good_until_us IS NOT NULL"),
            postgresql_where=text("state = 'owed' AND good_until_us IS NOT NULL"),
        ),
        Index(
            "ix_outbox_trouble",
            "id",
            sqlite_where=text("state IN ('refused', 'gone') AND NOT told"),
            postgresql_where=text("state IN ('refused', 'gone') AND NOT told"),
        ),
        Index(
            "ix_outbox_edit_of",
            *("edit_of",),
            sqlite_where=text("edit_of IS NOT NULL"),
            postgresql_where=text("edit_of IS NOT NULL"),
        ),
        Index(
            "ix_outbox_receipt",
            *("network", "receipt"),
            sqlite_where=text("receipt IS NOT NULL"),
            postgresql_where=text("receipt IS NOT NULL"),
        ),
    )

    id: int = Field(sa_column=_counted())
    key: str
    network: str
    room: str
    priority: int
    message: str
    edit_of: str | None = None
    must: bool
    state: str
    not_before_us: int = Field(sa_column=_us(default="0"))
    since_us: int = Field(sa_column=_us(default="0"))  # when it was put off, if it was
    good_until_us: int | None = Field(default=None, sa_column=_us(empty=True))
    queued_us: int = Field(sa_column=_us())
    attempts: int = Field(default=0, sa_column_kwargs={"server_default": "0"})
    repeat: bool = Field(default=False, sa_column_kwargs={"server_default": text("false")})
    plain: bool = Field(default=False, sa_column_kwargs={"server_default": text("false")})
    holder: int | None = None  # which copy of the process has it in hand
    receipt: str | None = None  # the platform's id
    sent_us: int | None = Field(default=None, sa_column=_us(empty=True))
    why: str | None = None
    told: bool = Field(default=False, sa_column_kwargs={"server_default": text("false")})


class Cursor(Base, table=True):
    """How far each platform was read."""

    network: str = Field(primary_key=True)
    token: str


class Pulse(Base, table=True):
    """When we were last alive; one row."""

    id: int = Field(sa_column=Column(Integer, primary_key=True, autoincrement=False))
    at_us: int = Field(sa_column=_us())


class Room(Base, table=True):
    """A room we know something about: its cook, and whether it takes messages just now."""

    network: str = Field(primary_key=True)
    room: str = Field(primary_key=True)
    cook: str | None = None
    wait_from_us: int = Field(default=0, sa_column=_us(default="0"))
    wait_until_us: int = Field(default=0, sa_column=_us(default="0"))
    backoff: bool = Field(default=False, sa_column_kwargs={"server_default": text("false")})
    gone_why: str | None = None
    moved_to: str | None = None


class Person(Base, table=True):
    """What a person id of a cook's facts is called; erasable."""

    cook: str = Field(primary_key=True)
    person: str = Field(primary_key=True)
    name: str


class Address(Base, table=True):
    """How a platform calls a person, and the private room they opened; erasable."""

    network: str = Field(primary_key=True)
    who: str = Field(primary_key=True)
    cook: str = Field(primary_key=True)
    person: str
    room: str | None = None


class Invite(Base, table=True):
    """A one-time code for joining a crew, by its hash."""

    code: str = Field(primary_key=True)
    cook: str
    person: str
    until_us: int = Field(sa_column=_us())


class Files(Base, table=True):
    """Photos and documents: kept by their sha256 beside the database."""

    sha256: str = Field(primary_key=True)
    kind: str
    size: int
    stored_us: int = Field(sa_column=_us())


class Wake(Base, table=True):
    """A cache over facts: when each stream has its next call due. A replay rebuilds it.

    A copy of the process that rings a stream leases it; nobody else looks before that is over.
    """

    __table_args__ = (
        Index(None, "at_us"),
        Index(
            "ix_wake_leased",
            "leased_until_us",
            sqlite_where=text("leased_until_us > 0"),
            postgresql_where=text("leased_until_us > 0"),
        ),
    )

    stream: str = Field(primary_key=True)
    at_us: int = Field(sa_column=_us())
    leased_until_us: int = Field(default=0, sa_column=_us(default="0"))
