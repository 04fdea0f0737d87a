"""Recorder files of cycles that never ran, normal or with a named fault, for teaching and for testing."""

from sinkside.cycles.simulate.dialects import DIALECTS
from sinkside.cycles.simulate.faults import FAULTS, Fault, faults_of
from sinkside.cycles.simulate.recording import Recording
from sinkside.cycles.simulate.simulation import simulate, simulate_many
from sinkside.cycles.simulate.writing import write_recorder_file

__all__ = [
    "DIALECTS",
    "FAULTS",
    "Fault",
    "Recording",
    "faults_of",
    "simulate",
    "simulate_many",
    "write_recorder_file",
]
