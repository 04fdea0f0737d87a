"""An instruction resolved against a department."""

from sinkside.route.document import (
    Binding,
    Change,
    ChosenFigure,
    Load,
    Operation,
    ResourceKind,
    Route,
    RoutedDevice,
    SetRoute,
    Station,
)
from sinkside.route.resolving import resolve
from sinkside.route.together import route_set

__all__ = [
    "Binding",
    "Change",
    "ChosenFigure",
    "Load",
    "Operation",
    "ResourceKind",
    "Route",
    "RoutedDevice",
    "SetRoute",
    "Station",
    "resolve",
    "route_set",
]
