"""What years need: a machine's loads are found by when they began, which is what a recall asks for."""

from __future__ import annotations

from alembic import op

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Make the index."""
    op.create_index("loads_begun", "loads", ["department", "machine", "started"])
