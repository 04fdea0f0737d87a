"""Heat and moisture of a set: what condenses, what dries again, what may be left; never a shorter time."""

from sinkside.moisture.document import Moisture, Risk
from sinkside.moisture.estimating import NO_CYCLE, Asked, Chosen, estimate
from sinkside.moisture.gathering import Piece, pieces
from sinkside.moisture.page import moisture_page
from sinkside.moisture.reasons import reasons_of
from sinkside.moisture.tables import assumptions, materials
from sinkside.moisture.things import Lie, OwnAssumption, Packed, Shape, Thing, Things

__all__ = [
    "NO_CYCLE",
    "Asked",
    "Chosen",
    "Lie",
    "Moisture",
    "OwnAssumption",
    "Packed",
    "Piece",
    "Risk",
    "Shape",
    "Thing",
    "Things",
    "assumptions",
    "estimate",
    "materials",
    "moisture_page",
    "pieces",
    "reasons_of",
]
