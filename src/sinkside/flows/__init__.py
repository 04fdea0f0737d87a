"""What goes through the lumens of a device when they are flushed and blown through."""

from sinkside.flows.conditions import Conditions
from sinkside.flows.formulas import NOTES, Computed, Formula, FormulaNotes
from sinkside.flows.works import LumenReport, LumenWork, lumen_report

__all__ = [
    "NOTES",
    "Computed",
    "Conditions",
    "Formula",
    "FormulaNotes",
    "LumenReport",
    "LumenWork",
    "lumen_report",
]
