"""What a machine cycle's record proves: reading it, finding its phases, judging it, simulating it."""

from sinkside.cycles.drift import ChartRules, Trend, TrendPoint, trend_point, trends
from sinkside.cycles.figures_for_trend import TREND_FIGURES, TrendFigure, trend_limits
from sinkside.cycles.judging import judge, judge_file
from sinkside.cycles.many import judge_many
from sinkside.cycles.reading import Reader, Reading, laid_beside, read_trace, reader_for
from sinkside.cycles.simulate import (
    DIALECTS,
    FAULTS,
    Fault,
    Recording,
    faults_of,
    simulate,
    simulate_many,
    write_recorder_file,
)
from sinkside.cycles.trace import Channel, ChannelKind, Label, Place, Remark, Role, Trace
from sinkside.cycles.verdict import Criterion, MeasuredValue, PhaseSpan, RecorderFacts, Unread, Verdict

__all__ = [
    "DIALECTS",
    "FAULTS",
    "TREND_FIGURES",
    "Channel",
    "ChannelKind",
    "ChartRules",
    "Criterion",
    "Fault",
    "Label",
    "MeasuredValue",
    "PhaseSpan",
    "Place",
    "Reader",
    "Reading",
    "RecorderFacts",
    "Recording",
    "Remark",
    "Role",
    "Trace",
    "Trend",
    "TrendFigure",
    "TrendPoint",
    "Unread",
    "Verdict",
    "faults_of",
    "judge",
    "judge_file",
    "judge_many",
    "laid_beside",
    "read_trace",
    "reader_for",
    "simulate",
    "simulate_many",
    "trend_limits",
    "trend_point",
    "trends",
    "write_recorder_file",
]
