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

__all__ = [
    "Binding",
    "Change",
    "ChosenFigure",
    "Operation",
    "ResourceKind",
    "Route",
    "RoutedDevice",
    "Station",
]
