"""What lies inside a lumen by the words: a stylet, a mandrel or an ejector that is put in, or left there."""

from __future__ import annotations

import re

from sinkside.review.lexicon import clauses, says

_FILLER = (
    r"(?:stylets?|stilettes?|mandrels?|mandrins?|obturators?|ejectors?|push(?:er)?\s+rods?|plungers?|guide\s?wires?"
    r"|inner\s+rods?|cleaning\s+wires?|trocar\s+pins?|blocking\s+rods?|pistons?|dummy\s+rods?)"
)
_LUMEN = (
    r"(?:cannulas?|needles?|tubes?|sheaths?|shafts?|lumens?|channels?|bores?|sleeves?|trocars?|outer\s+part|barrels?"
    r"|guides?|introducers?|catheters?|stems?|pipes?|passages?|ducts?|cannulations?|hollow\s+[\w-]+)"
)
_A = r"(?:(?:the|its|their|each|every|both|an?|this|that)\s+)?(?:(?!of\b)[\w-]+\s+){0,2}?"
_INSIDE = (
    rf"(?:(?:in|inside|within|into)\s+(?:of\s+)?(?:it|them|place|position|there|{_A}{_LUMEN})"
    r"|in(?=\s*(?:$|[,;]|so\b|to\b|and\b|while\b|until\b))|inside(?=\s*(?:$|[,;])))"
)
_LINK = (
    r"(?:\s+(?:is|are|was|were|be|being|must|may|can|should|shall|has|have|to|left|lies?|lying|stays?|staying|remains?"
    r"|remaining|kept|put|pushed|slid|placed|inserted|returned|fitted|back|again|still|always|all|the|time|fully))"
    r"{0,7}?"
)
_GOES = (
    r"(?:leave|leaving|keep|keeping|put|putting|slide|insert|push|place|return|replace|fit|reinsert|pass)\b"
    r"(?:\s+(?:back|again))?"
)
_SAID = re.compile(
    rf"\b(?:(?P<one>{_FILLER}){_LINK}\s+{_INSIDE}"
    rf"|with\s+{_A}(?P<two>{_FILLER})\s+(?:still\s+|fully\s+|left\s+|kept\s+)?(?:inserted|fitted|mounted|{_INSIDE})"
    rf"|{_GOES}\s+{_A}(?P<three>{_FILLER})(?:\s+[A-Z])?(?:\s+[\w-]+){{0,3}}?\s+(?:back\s+)?{_INSIDE}"
    rf"|(?P<four>{_FILLER})\s+(?:inserted|fitted|in\s+place|in\s+situ|left\s+in))\b",
    re.IGNORECASE,
)
#: "So that it is not lost" denies nothing of what stands in front.
_PURPOSE = re.compile(r"\s+(?:so\s+that|so\s+the|in\s+order|lest|to\s+protect|to\s+keep)\b.*", re.IGNORECASE)
_DENIES = ("negation", "apart-words", "after-steam", "comes-out-again", "at-the-field")


def lies_inside(text: str) -> str | None:
    """What fills a lumen by some words, if they leave or put it there and do not take it out again.

    >>> lies_inside("Leave the stylet in the cannula so that it is not lost.")
    'stylet'
    >>> lies_inside("Push the stylet into the cannula and pull it out again.") is None
    True
    >>> lies_inside("Brush the stylet in the bath.") is None
    True
    """
    if says(text, "comes-out-again"):
        return None
    for clause in clauses(text):
        match = _SAID.search(clause)
        asked = _PURPOSE.sub("", clause)
        if match and not any(says(asked, sense) for sense in _DENIES):
            return next(word for word in match.groups() if word).lower()
    return None
