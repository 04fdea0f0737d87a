"""Sets: what travels together."""

from sinkside.sets.document import Member, SetDocument

__all__ = ["Member", "SetDocument"]
