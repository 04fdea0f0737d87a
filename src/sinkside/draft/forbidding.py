"""Words that forbid everything in the list behind them: 'Do not:', 'The following is not allowed:'."""

from __future__ import annotations

from sinkside.draft.clauses import clauses_of
from sinkside.draft.lexicon import read_words

#: A head over what it forbids or asks is short; no sentence is read again to find that out.
_LONGEST_HEAD = 70
#: Words that may stand beside a prohibition without naming anything that is forbidden.
_AROUND = {
    *("the", "following", "what", "which", "you", "things", "please", "methods", "is", "are", "this"),
    *("these", "do", "done", "to", "use", "used", "be", "apply", "applied", "must", "at", "any", "time"),
}


def forbids_list(lead: str, language: str = "en") -> bool:
    """Whether a lead-in forbids what it leads in; to forbid leaving something out asks for it.

    >>> forbids_list("Do not:"), forbids_list("Do not skip any of these steps:"), forbids_list("Then:")
    (True, False, False)
    """
    reading = read_words(lead.lower(), language)
    forbidden = reading.all("prohibition")
    if not forbidden or reading.has("omission"):
        return False
    return not any(clause.verb < forbidden[0].first for clause in clauses_of(reading))


def forbids_alone(text: str, language: str = "en") -> bool:
    """Whether words do nothing but forbid what stands under them: a heading or column head 'Do not'.

    >>> forbids_alone("DO NOT"), forbids_alone("Do not immerse"), forbids_alone("What you must not do")
    (True, False, True)
    """
    # The words as they stand are read anyway, and most hold no prohibition.
    if len(text) > _LONGEST_HEAD or not read_words(text, language).has("prohibition"):
        return False
    reading = read_words(text.lower().rstrip(" :!"), language)
    forbidden = reading.all("prohibition")
    if not forbidden or reading.has("omission"):
        return False
    around = [*reading.tokens[: forbidden[0].first], *reading.tokens[forbidden[-1].last :]]
    return all(token.norm in _AROUND for token in around)


def forbids_column(head: str, language: str = "en") -> bool:
    """Whether the head of a column forbids what stands in it, be it only as 'Wrong' beside 'Right'.

    >>> forbids_column("Do not"), forbids_column("Incorrect"), forbids_column("Remark")
    (True, True, False)
    """
    return forbids_alone(head, language) or _is_wholly(head, "forbids_column", language)


def asks_column(head: str, language: str = "en") -> bool:
    """Whether the head of a column asks for what stands in it, as 'Right' beside 'Wrong'."""
    return asks_alone(head, language) or _is_wholly(head, "asks_column", language)


def asks_alone(text: str, language: str = "en") -> bool:
    """Whether words do nothing but ask for what stands under them, as 'Do' beside 'Do not'."""
    return _is_wholly(text, "asks_list", language)


def _is_wholly(text: str, category: str, language: str) -> bool:
    if len(text) > _LONGEST_HEAD or read_words(text, language).at(0, category) is None:
        return False
    reading = read_words(text.lower().rstrip(" :!"), language)
    named = reading.at(0, category)
    return named is not None and named.last == len(reading.tokens)
