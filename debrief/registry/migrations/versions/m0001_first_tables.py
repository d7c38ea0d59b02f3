"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make them."""
    op.create_table(
        "file",
        sa.Column("sha256", sa.Text, primary_key=True),
        sa.Column("size", sa.BigInteger, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
    )
    op.create_table(
        "event",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("name", sa.Text, nullable=False, unique=True),
        sa.Column("identity", sa.Text, nullable=False, unique=True),
        sa.Column("settings", sa.Text, nullable=False),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("date", sa.Text),
        sa.Column("unit", sa.Text),
        sa.Column("population", sa.Text),
        sa.Column("setting", sa.Text),
        sa.Column("added_at", sa.Text, nullable=False),
        sa.Column("removed_at", sa.Text),
    )
    op.create_index("event_by_date", "event", ["date"])
    op.create_table(
        "source",
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), primary_key=True),
        sa.Column("position", sa.Integer, primary_key=True),
        sa.Column("file", sa.Text, nullable=False),
        sa.Column("sha256", sa.Text, sa.ForeignKey("file.sha256"), nullable=False),
        sa.Column("only", sa.Text),
        sa.Column("read", sa.Boolean, nullable=False),
    )
    op.create_index("source_by_sha256", "source", ["sha256"])
    op.create_table(
        "entry",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), nullable=False),
        sa.Column("stream", sa.Text, nullable=False),
        sa.Column("content", sa.LargeBinary, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
    )
    op.create_index("entry_by_event", "entry", ["event", "stream", "id"])
    op.create_table(
        "mapping",
        sa.Column("layout", sa.Text, primary_key=True),
        sa.Column("content", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
    )
    op.create_table(
        "measurement",
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), primary_key=True),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("definitions", sa.Integer, nullable=False),
        sa.Column("parameters", sa.Text, nullable=False),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("status", sa.Text, nullable=False),
        sa.Column("marks", sa.Integer, nullable=False),
        sa.Column("to_check", sa.Integer, nullable=False),
        sa.Column("problems", sa.Text, nullable=False),
    )
    op.create_table(
        "figure",
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id"), primary_key=True),
        sa.Column("name", sa.Text, primary_key=True),
        sa.Column("value", sa.Double),
        sa.Column("unit", sa.Text, nullable=False),
        sa.Column("low", sa.Double),
        sa.Column("high", sa.Double),
        sa.Column("certainty", sa.Text, nullable=False),
        sa.Column("verdict", sa.Text, nullable=False),
        sa.Column("because", sa.Text),
    )
    op.create_index("figure_by_name", "figure", ["name"])
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("at", sa.Text, nullable=False),
        sa.Column("role", sa.Text, nullable=False),
        sa.Column("action", sa.Text, nullable=False),
        sa.Column("event", sa.Integer, sa.ForeignKey("event.id")),
        sa.Column("detail", sa.Text, nullable=False),
        sa.Column("why", sa.Text, nullable=False),
    )
    op.create_index("audit_by_event", "audit", ["event"])
