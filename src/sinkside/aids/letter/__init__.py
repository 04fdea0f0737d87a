"""The letter to the maker: what an instruction leaves open, as numbered questions."""

from sinkside.aids.letter.asking import LETTER_LANGUAGES, Letterhead, letter
from sinkside.aids.letter.document import Letter, Question, Quote, Sum
from sinkside.aids.letter.printing import letter_text

__all__ = ["LETTER_LANGUAGES", "Letter", "Letterhead", "Question", "Quote", "Sum", "letter", "letter_text"]
