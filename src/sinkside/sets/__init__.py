"""Sets: what travels together."""

from sinkside.sets.checking import check_set
from sinkside.sets.coherence import checked, load_set, read_set
from sinkside.sets.comparing import SetChange, compare_sets
from sinkside.sets.contents import NEVER_IN_THE_TRAY, Content, contents_of
from sinkside.sets.document import Apart, Member, Piece, SetDocument, Substitute
from sinkside.sets.mass import SetMass, mass_of
from sinkside.sets.parting import part_set

__all__ = [
    "NEVER_IN_THE_TRAY",
    "Apart",
    "Content",
    "Member",
    "Piece",
    "SetChange",
    "SetDocument",
    "SetMass",
    "Substitute",
    "check_set",
    "checked",
    "compare_sets",
    "contents_of",
    "load_set",
    "mass_of",
    "part_set",
    "read_set",
]
