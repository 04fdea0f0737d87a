"""The bank of an instruction's questions: listed by kind and step, reworded, retired, added to."""

from sinkside.web.screens.questions import acts, one
from sinkside.web.screens.questions.bank import screen

__all__ = ["acts", "one", "screen"]
