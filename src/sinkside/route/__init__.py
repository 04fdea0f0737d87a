"""An instruction resolved against a department."""

from sinkside.department import Station
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
)
from sinkside.route.fit import (
    Fit,
    FitColumn,
    FitRow,
    FitWord,
    Wanted,
    fit,
    fit_table,
    least_changes,
    shopping_list,
)
from sinkside.route.resolving import resolve
from sinkside.route.together import route_set

__all__ = [
    "Binding",
    "Change",
    "ChosenFigure",
    "Fit",
    "FitColumn",
    "FitRow",
    "FitWord",
    "Load",
    "Operation",
    "ResourceKind",
    "Route",
    "RoutedDevice",
    "SetRoute",
    "Station",
    "Wanted",
    "fit",
    "fit_table",
    "least_changes",
    "resolve",
    "route_set",
    "shopping_list",
]
