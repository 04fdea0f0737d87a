"""An instruction resolved against a department."""

from sinkside.route.document import (
    Binding,
    Change,
    ChosenFigure,
    Operation,
    ResourceKind,
    Route,
    RoutedDevice,
    Station,
)
from sinkside.route.resolving import resolve

__all__ = [
    "Binding",
    "Change",
    "ChosenFigure",
    "Operation",
    "ResourceKind",
    "Route",
    "RoutedDevice",
    "Station",
    "resolve",
]
