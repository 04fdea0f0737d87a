"""Numbers with units: read and written at the edges, plain SI floats inside."""

from sinkside.quantities.figure import Bound, Figure, FigureQuantity
from sinkside.quantities.quantity import Quantity, Range, convert, dimension_of, measures_the_same

__all__ = [
    "Bound",
    "Figure",
    "FigureQuantity",
    "Quantity",
    "Range",
    "convert",
    "dimension_of",
    "measures_the_same",
]
