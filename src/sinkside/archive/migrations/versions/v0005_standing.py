"""What stood where when: a recall of a lot asks what lay in its solutions, among the taps of years."""

from __future__ import annotations

from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Make the index."""
    op.create_index("taps_standing", "taps", ["department", "state", "at"])
