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
from sinkside.route.fit import Asked, Fit, FitWord, Offered, Wanted, fit, fit_table, shopping_list
from sinkside.route.resolving import resolve
from sinkside.route.together import route_set

__all__ = [
    "Asked",
    "Binding",
    "Change",
    "ChosenFigure",
    "Fit",
    "FitWord",
    "Load",
    "Offered",
    "Operation",
    "ResourceKind",
    "Route",
    "RoutedDevice",
    "SetRoute",
    "Station",
    "Wanted",
    "fit",
    "fit_table",
    "resolve",
    "route_set",
    "shopping_list",
]
