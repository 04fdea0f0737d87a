"""Bounds that stand apart from their figures: 'minimum cycle: …', 'whichever is longer'."""

from __future__ import annotations

from sinkside.draft.lexicon import Reading, read_words
from sinkside.draft.notfigures import Found
from sinkside.quantities import Figure, FigureQuantity


def with_distant_bounds(found: list[Found], reading: Reading, lead: str, language: str) -> list[Found]:
    """The readings with what a lead-in or a closing clause says about them.

    >>> from sinkside.draft.grammar import FigureGrammar
    >>> from sinkside.draft.lexicon import read_words
    >>> words = read_words("Flush with 80 mL or until clear, whichever is more.")
    >>> with_distant_bounds(FigureGrammar(words).read(), words, "", "en")[0].figures[0].min
    80.0
    """
    leads = read_words(lead, language).all("bound_lead") if lead else []
    if leads:
        found = [_bounded(one, leads[0].value, times_only=True) for one in found]
    closing = reading.all("bound_whichever")
    if not closing or reading.has("interval"):
        return found
    return [
        _bounded(one, closing[0].value, times_only=False) if one.last <= closing[0].first else one
        for one in found
    ]


def _bounded(found: Found, end: str, *, times_only: bool) -> Found:
    figures = tuple(_figure_bounded(figure, end, times_only=times_only) for figure in found.figures)
    pattern = f"{found.pattern}, {end} by other words"
    return Found(pattern, found.first, found.last, figures, found.unread)


def _figure_bounded(figure: Figure, end: str, *, times_only: bool) -> Figure:
    if figure.value is None or (times_only and figure.quantity is not FigureQuantity.time):
        return figure
    return figure.model_copy(update={"value": None, end: figure.value})
