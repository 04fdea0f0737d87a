"""A month of deviations on paper: what is most frequent, how rates go, what is to be seen to."""

from sinkside.aids.deviations.drawing import chart_on_paper
from sinkside.aids.deviations.printing import month_pdf
from sinkside.aids.deviations.request import MonthChart, MonthFigure, MonthPicture, MonthRequest, MonthTable

__all__ = [
    "MonthChart",
    "MonthFigure",
    "MonthPicture",
    "MonthRequest",
    "MonthTable",
    "chart_on_paper",
    "month_pdf",
]
