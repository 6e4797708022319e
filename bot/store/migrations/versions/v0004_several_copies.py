"""Several copies share the ringing; open cooks are found however many there ever were."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

LEASED = "leased_until_us > 0"
FIRST = "seq = 1"
ENDS = "type IN ('CookClosed', 'Undone')"


def upgrade() -> None:
    op.add_column(
        "wake", sa.Column("leased_until_us", sa.BigInteger, nullable=False, server_default="0")
    )
    op.create_index(
        "ix_wake_leased",
        "wake",
        ["leased_until_us"],
        sqlite_where=sa.text(LEASED),
        postgresql_where=sa.text(LEASED),
    )
    op.create_index(
        "ix_facts_first",
        "facts",
        ["stream"],
        sqlite_where=sa.text(FIRST),
        postgresql_where=sa.text(FIRST),
    )
    op.create_index(
        "ix_facts_ends",
        "facts",
        ["stream", "type", "seq"],
        sqlite_where=sa.text(ENDS),
        postgresql_where=sa.text(ENDS),
    )
