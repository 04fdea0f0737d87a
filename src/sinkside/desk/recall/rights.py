"""What recalls are kept as, and the rights that they take."""

from __future__ import annotations

from typing import Final

KIND: Final = "recall"
READ: Final = "recall-read"
OPEN: Final = "recall-open"
WORK: Final = "recall-work"
NARROW: Final = "recall-narrow"
OPENED, CLOSED = "open", "closed"
