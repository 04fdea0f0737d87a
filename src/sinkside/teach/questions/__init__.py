"""Questions made from the structure of an instruction, one file a kind."""

from sinkside.teach.questions.making import questions_of

__all__ = ["questions_of"]
