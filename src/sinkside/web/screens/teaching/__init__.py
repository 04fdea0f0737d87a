"""Teaching: every device with its lesson, part by part or on a wall, and notes beside steps."""

from sinkside.web.screens.teaching import index, lesson, notes, projected
from sinkside.web.screens.teaching.index import screen

__all__ = ["index", "lesson", "notes", "projected", "screen"]
