"""A message of ours is found by the id the platform gave it: for a reply to it, or a tap on it."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

KNOWN = "receipt IS NOT NULL"


def upgrade() -> None:
    op.create_index(
        "ix_outbox_receipt",
        "outbox",
        ["network", "receipt"],
        sqlite_where=sa.text(KNOWN),
        postgresql_where=sa.text(KNOWN),
    )
