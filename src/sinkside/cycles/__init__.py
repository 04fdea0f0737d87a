"""What a machine cycle's record proves: reading it, finding its phases, judging it, simulating it."""

from sinkside.cycles.trace import Channel, ChannelKind, Role, Trace
from sinkside.cycles.verdict import Criterion, MeasuredValue, PhaseSpan, RecorderFacts, Unread, Verdict

__all__ = [
    "Channel",
    "ChannelKind",
    "Criterion",
    "MeasuredValue",
    "PhaseSpan",
    "RecorderFacts",
    "Role",
    "Trace",
    "Unread",
    "Verdict",
]
