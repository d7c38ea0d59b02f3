"""What reviewers say of whole events, what lists of many need of each, and what a site names."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Add them. What was measured before lacks the new columns, and so is taken to be stale."""
    op.add_column("event", sa.Column("review", sa.Text))
    op.add_column("event", sa.Column("review_why", sa.Text))
    op.add_column("measurement", sa.Column("facts", sa.Text, nullable=False, server_default="{}"))
    op.add_column("figure", sa.Column("target", sa.Text))
    op.execute("update measurement set definitions = 0")
    op.create_table(
        "named",
        sa.Column("kind", sa.Text, primary_key=True),
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
    )
