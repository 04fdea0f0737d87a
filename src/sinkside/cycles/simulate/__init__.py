"""Recorder files of cycles that never ran, normal or with a named fault, for teaching and for testing."""

from sinkside.cycles.simulate.dialects import DIALECTS
from sinkside.cycles.simulate.recording import Recording
from sinkside.cycles.simulate.simulation import faults_of, simulate
from sinkside.cycles.simulate.writing import write_recorder_file

__all__ = ["DIALECTS", "Recording", "faults_of", "simulate", "write_recorder_file"]
