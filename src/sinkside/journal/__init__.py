"""What an event is: canonical bytes, the chain that binds events, and people behind pseudonyms."""

from sinkside.journal.chain import ChainFault, Head, check, head_of, link
from sinkside.journal.event import Event, Happening, canonical_bytes, read_event
from sinkside.journal.moments import known_zone, moment
from sinkside.journal.people import pseudonym, salted_digest

__all__ = [
    "ChainFault",
    "Event",
    "Happening",
    "Head",
    "canonical_bytes",
    "check",
    "head_of",
    "known_zone",
    "link",
    "moment",
    "pseudonym",
    "read_event",
    "salted_digest",
]
