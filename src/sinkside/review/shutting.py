"""What words shut: a thing that opens, and a word beside it that it is shut, in either order."""

from __future__ import annotations

import re

#: A few small words may stand between a thing and its state: "the stopcocks are to be kept fully closed".
_LINK = (
    r"(?:\s+of\s+(?:[A-Z]{1,2}\b|(?:the|each|its)\s+[\w-]+))?"
    r"(?:\s+(?:is|are|was|being|be|been|to|must|shall|should|has|have|kept|in|the|its|a|position|fully|tightly|firmly"
    r"|completely|set|turned|left|remain|remains|stay|stays|all|both|still|again|pushed|on|at|with)){0,5}?\s+"
)
_VERB = (
    r"(?:\s+(?:the|its|their|both|all|each|every|any|this|that|two|three)){0,2}"
    r"(?:\s+(?!(?:of|and|or)\b)[\w-]+){0,2}?\s+"
)

_PORTS = (
    r"(?:(?:stop)?cocks?|(?:inlet|outlet|side)?\s?taps?(?!\s+water)|valves?|ports?|inlets?|outlets?|nipples?|luers?"
    r"|luer\s+locks?|connectors?|openings?\s+of\s+the\s+(?:channel|lumen)s?|channel\s+openings?|irrigation\s+openings?)"
)
_JAWS = r"(?:jaws?|tips|blades|branches|mouth|mouth\s+parts?|beaks?|cups|grasping\s+arms)"
_RATCHETS = r"(?:ratchets?|catch|locks?|latch|rack|locking\s+mechanism|box\s+ratchet)"
_BORES = r"(?:tubes?|channels?|lumens?|bores?|cannulas?|shafts?|sheaths?|ends?|openings?)"
_COVERS = r"(?:caps?|plugs?|stoppers?|bungs?|closures?)"
_TOOTH = r"(?:first|second|third|last|final|\d(?:st|nd|rd|th)|one)\s+(?:tooth|notch|step|click|stop|position)"


def _either(things: str, states: str, verbs: str) -> re.Pattern[str]:
    """A thing in a state, a shut thing, or words that ask to shut it."""
    return re.compile(
        rf"\b(?:{things}{_LINK}(?:{states})|(?:{states})\s+(?:the\s+)?{things}|(?:{verbs}){_VERB}{things})\b",
        re.IGNORECASE,
    )


_SHUT = {
    "port": (
        _either(
            _PORTS,
            r"closed|shut|plugged|capped|sealed|blocked|stoppered|turned\s+off|screwed\s+down|locked\s+down|off",
            r"close|shut|plug|cap|seal|block|stopper|turn\s+off|shut\s+off",
        ),
        re.compile(
            rf"\b(?:plug|stopper|cap|seal\s+off|stop\s+up)\s+(?:the|each|both|its)\s+(?:[\w-]+\s+)?{_BORES}\b",
            re.IGNORECASE,
        ),
        re.compile(
            rf"\b{_COVERS}(?:\s+[A-Z]\d?)?{_LINK}(?:closed|shut|fitted|in\s+place|screwed\s+on|inserted|mounted|attached|put\s+on|on)\b"
            rf"|\b{_COVERS}(?:\s+[A-Z]\d?)?\s+(?:(?:back|down|firmly|tightly|again)\s+)*(?:in|on|into|onto|over)"
            rf"(?:\s+(?:the|its|each|every|both|all))?\s+(?:[\w-]+\s+)?{_PORTS}\b",
            re.IGNORECASE,
        ),
    ),
    "jaw": (
        _either(
            _JAWS,
            r"closed|shut|clamped|clamped\s+shut|locked|locked\s+together|together|tightly\s+closed|pressed\s+together"
            r"|drawn\s+in|pulled\s+in|retracted|withdrawn",
            r"close|shut|clamp|lock|press|retract|squeeze\s+shut|keep\s+shut|keep\s+closed",
        ),
    ),
    "ratchet": (
        _either(
            _RATCHETS,
            r"engaged|locked|closed|shut|clicked\s+in|latched|snapped\s+in",
            r"engage|lock|close|latch",
        ),
        re.compile(
            rf"\b{_RATCHETS}\b(?:\W+\w+){{0,3}}?\W+(?:{_TOOTH}|every\s+tooth|its\s+teeth)\b", re.IGNORECASE
        ),
    ),
}


def shuts(text: str, feature: str) -> bool:
    """Whether some words shut a jaw, a ratchet or a port, whatever else they say of it.

    >>> shuts("the stopcocks being closed", "port"), shuts("the ratchet on its last tooth", "ratchet")
    (True, True)
    >>> shuts("closed container with tray", "port")
    False
    """
    return any(pattern.search(text) for pattern in _SHUT[feature])
