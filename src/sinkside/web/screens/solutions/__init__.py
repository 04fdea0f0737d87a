"""Solutions at the sink: what must be discarded, what is in use, and how one is made up."""

from sinkside.web.screens.solutions import making, shelf
from sinkside.web.screens.solutions.shelf import screen

__all__ = ["making", "screen", "shelf"]
