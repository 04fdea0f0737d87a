"""Roll-outs: who must be ready before a device is first used, planned, followed, and taught by scan."""

from sinkside.web.screens.roll_outs import attending, page, planning
from sinkside.web.screens.roll_outs.page import screen

__all__ = ["attending", "page", "planning", "screen"]
