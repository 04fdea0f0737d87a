"""Recorder files of cycles that never ran, normal or with a named fault, for teaching and for testing."""

from sinkside.cycles.simulate.dialects import DIALECTS, write_recorder_file
from sinkside.cycles.simulate.recording import Recording
from sinkside.cycles.simulate.simulation import faults_of, simulate

__all__ = ["DIALECTS", "Recording", "faults_of", "simulate", "write_recorder_file"]
