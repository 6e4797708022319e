"""One-time codes for joining a crew."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "invite",
        sa.Column("code", sa.String, nullable=False),
        sa.Column("cook", sa.String, nullable=False),
        sa.Column("person", sa.String, nullable=False),
        sa.Column("until_us", sa.BigInteger, nullable=False),
        sa.PrimaryKeyConstraint("code", name="pk_invite"),
    )
