"""My learning: today's questions, one's own memory, the team's, and whether questions are any good."""

from sinkside.web.screens.learning import answered, asking, memory, quality, team
from sinkside.web.screens.learning.asking import screen

__all__ = ["answered", "asking", "memory", "quality", "screen", "team"]
