"""Heat and moisture of a set: what condenses, what dries again, what may be left; never a shorter time."""

from sinkside.moisture.document import Moisture, Risk
from sinkside.moisture.estimating import Asked, Chosen, estimate
from sinkside.moisture.page import moisture_page
from sinkside.moisture.things import Things

__all__ = ["Asked", "Chosen", "Moisture", "Risk", "Things", "estimate", "moisture_page"]
