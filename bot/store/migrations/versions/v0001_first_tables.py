"""The first tables: inbox, facts, outbox, cursor, and the small ones for people and rooms."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

COUNTED = sa.BigInteger().with_variant(sa.Integer, "sqlite")


def some_rows(name: str, table: str, columns: list[str], where: str) -> None:
    """Make an index over only some rows, on both databases."""
    op.create_index(
        name, table, columns, sqlite_where=sa.text(where), postgresql_where=sa.text(where)
    )


def upgrade() -> None:
    inbox()
    outbox()
    op.create_table(
        "facts",
        sa.Column("stream", sa.String, nullable=False),
        sa.Column("seq", sa.Integer, nullable=False),
        sa.Column("at_us", sa.BigInteger, nullable=False),
        sa.Column("heard_us", sa.BigInteger, nullable=False),
        sa.Column("by", sa.String, nullable=False),
        sa.Column("type", sa.String, nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("body", sa.String, nullable=False),
        sa.Column("hash", sa.String, nullable=False),
        sa.PrimaryKeyConstraint("stream", "seq", name="pk_facts"),
    )
    small()


def inbox() -> None:
    op.create_table(
        "inbox",
        sa.Column("id", COUNTED, autoincrement=True, nullable=False),
        sa.Column("network", sa.String, nullable=False),
        sa.Column("ext_id", sa.String, nullable=False),
        sa.Column("room", sa.String, nullable=False),
        sa.Column("who", sa.String, nullable=False),
        sa.Column("body", sa.String),
        sa.Column("heard_us", sa.BigInteger, nullable=False),
        sa.Column("state", sa.String, nullable=False, server_default="new"),
        sa.Column("attempts", sa.Integer, nullable=False, server_default="0"),
        sa.Column("why", sa.String),
        sa.PrimaryKeyConstraint("id", name="pk_inbox"),
        sa.UniqueConstraint("network", "ext_id", name="uq_inbox_network_ext_id"),
        sa.CheckConstraint("state IN ('new', 'done', 'aside')", name=op.f("ck_inbox_state")),
    )
    some_rows("ix_inbox_new", "inbox", ["id"], "state = 'new'")


def outbox() -> None:
    states = (
        "'later', 'owed', 'sending', 'sent', 'let_go', 'superseded', 'folded', 'split', "
        "'refused', 'gone'"
    )
    op.create_table(
        "outbox",
        sa.Column("id", COUNTED, autoincrement=True, nullable=False),
        sa.Column("key", sa.String, nullable=False),
        sa.Column("network", sa.String, nullable=False),
        sa.Column("room", sa.String, nullable=False),
        sa.Column("priority", sa.Integer, nullable=False),
        sa.Column("message", sa.String, nullable=False),
        sa.Column("edit_of", sa.String),
        sa.Column("must", sa.Boolean, nullable=False),
        sa.Column("state", sa.String, nullable=False),
        sa.Column("not_before_us", sa.BigInteger, nullable=False, server_default="0"),
        sa.Column("since_us", sa.BigInteger, nullable=False, server_default="0"),
        sa.Column("good_until_us", sa.BigInteger),
        sa.Column("queued_us", sa.BigInteger, nullable=False),
        sa.Column("attempts", sa.Integer, nullable=False, server_default="0"),
        sa.Column("repeat", sa.Boolean, nullable=False, server_default=sa.text("false")),
        sa.Column("plain", sa.Boolean, nullable=False, server_default=sa.text("false")),
        sa.Column("holder", sa.Integer),
        sa.Column("receipt", sa.String),
        sa.Column("sent_us", sa.BigInteger),
        sa.Column("why", sa.String),
        sa.Column("told", sa.Boolean, nullable=False, server_default=sa.text("false")),
        sa.PrimaryKeyConstraint("id", name="pk_outbox"),
        sa.UniqueConstraint("key", name="uq_outbox_key"),
        sa.CheckConstraint(f"state IN ({states})", name=op.f("ck_outbox_state")),
    )
    stale = "state = 'owed' AND good_until_us IS NOT NULL"
    trouble = "state IN ('refused', 'gone') AND NOT told"
    for name, columns, where in (
        ("owed", ["network", "priority", "id"], "state = 'owed'"),
        ("sending", ["network", "room"], "state = 'sending'"),
        ("later", ["network", "not_before_us"], "state = 'later'"),
        ("stale", ["network", "good_until_us"], stale),
        ("trouble", ["id"], trouble),
        ("edit_of", ["edit_of"], "edit_of IS NOT NULL"),
    ):
        some_rows(f"ix_outbox_{name}", "outbox", columns, where)


def small() -> None:
    op.create_table(
        "cursor",
        sa.Column("network", sa.String, nullable=False),
        sa.Column("token", sa.String, nullable=False),
        sa.PrimaryKeyConstraint("network", name="pk_cursor"),
    )
    op.create_table(
        "pulse",
        sa.Column("id", sa.Integer, nullable=False, autoincrement=False),
        sa.Column("at_us", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_pulse"),
    )
    op.create_table(
        "room",
        sa.Column("network", sa.String, nullable=False),
        sa.Column("room", sa.String, nullable=False),
        sa.Column("cook", sa.String),
        sa.Column("wait_from_us", sa.BigInteger, nullable=False, server_default="0"),
        sa.Column("wait_until_us", sa.BigInteger, nullable=False, server_default="0"),
        sa.Column("backoff", sa.Boolean, nullable=False, server_default=sa.text("false")),
        sa.Column("gone_why", sa.String),
        sa.Column("moved_to", sa.String),
        sa.PrimaryKeyConstraint("network", "room", name="pk_room"),
    )
    op.create_table(
        "person",
        sa.Column("cook", sa.String, nullable=False),
        sa.Column("person", sa.String, nullable=False),
        sa.Column("name", sa.String, nullable=False),
        sa.PrimaryKeyConstraint("cook", "person", name="pk_person"),
    )
    op.create_table(
        "address",
        sa.Column("network", sa.String, nullable=False),
        sa.Column("who", sa.String, nullable=False),
        sa.Column("cook", sa.String, nullable=False),
        sa.Column("person", sa.String, nullable=False),
        sa.Column("room", sa.String),
        sa.PrimaryKeyConstraint("network", "who", "cook", name="pk_address"),
    )
    op.create_table(
        "files",
        sa.Column("sha256", sa.String, nullable=False),
        sa.Column("kind", sa.String, nullable=False),
        sa.Column("size", sa.Integer, nullable=False),
        sa.Column("stored_us", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("sha256", name="pk_files"),
    )
    op.create_table(
        "wake",
        sa.Column("stream", sa.String, nullable=False),
        sa.Column("at_us", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("stream", name="pk_wake"),
    )
    op.create_index("ix_wake_at_us", "wake", ["at_us"])
