"""What words shut: a thing that opens, and a word beside it that it is shut, in either order."""

from __future__ import annotations

import re

from sinkside.findings import Evidence
from sinkside.instruction.positions import Held
from sinkside.review.case import Case, words
from sinkside.review.lexicon import clauses, says

#: The position in which each feature keeps liquid or steam away from what lies behind it.
SHUT = {"jaw": "closed", "ratchet": "engaged", "port": "capped"}

_PIECES = re.compile(r",|\bthen\b", re.IGNORECASE)

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
_BORES = (
    r"(?:tubes?|channels?|lumens?|bores?|cannulas?|cannulations?|passages?|shafts?|sheaths?|ends?|openings?)"
)
_COVERS = r"(?:caps?|plugs?|stoppers?|bungs?|closures?)"
_ON = (
    r"closed|shut|fitted|in\s+place|screwed\s+(?:on|in|down)|inserted|mounted|attached|put\s+(?:on|in)|on|seated"
    r"|(?:pushed|pressed|plugged|clicked|snapped|left|kept|stuck|screwed)\s+(?:on|in|home)|tight(?:ened)?"
)
#: What holds two jaws together where no ratchet does.
_BANDS = r"(?:(?:an?|the)\s+)?(?:rubber\s+|elastic\s+)?(?:bands?|elastics?|clamp|tape|string|thread|strap)"
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
            rf"\b{_COVERS}(?:\s+[A-Z]\d?)?{_LINK}(?:{_ON})\b"
            rf"|\b{_COVERS}(?:\s+[A-Z]\d?)?\s+(?:(?:back|down|firmly|tightly|again)\s+)*(?:in|on|into|onto|over)"
            rf"(?:\s+(?:the|its|each|every|both|all))?\s+(?:[\w-]+\s+)?{_PORTS}\b",
            re.IGNORECASE,
        ),
    ),
    "jaw": (
        _either(
            _JAWS,
            r"closed|shut|clamped|clamped\s+shut|locked|locked\s+together|together|tightly\s+closed|pressed\s+together"
            r"|drawn\s+in|pulled\s+in|retracted|withdrawn|squeezed\s+(?:shut|together)|held\s+(?:shut|together|closed)"
            r"|tied\s+(?:shut|together)|bound\s+together|strapped\s+together|taped\s+(?:shut|together)"
            rf"|(?:squeezed|held|tied|bound|strapped|fixed|tightened|gripped|secured)\s+(?:by|with|through)\s+{_BANDS}",
            r"close|shut|clamp|lock|press|retract|squeeze\s+shut|keep\s+shut|keep\s+closed",
        ),
        re.compile(
            rf"\b{_BANDS}\s+(?:(?:goes|is|are|put|placed|slipped|wound|pulled|must|be)\s+){{0,3}}(?:around|round|over|about|on)"
            rf"\s+(?:the\s+|its\s+|both\s+)?{_JAWS}\b",
            re.IGNORECASE,
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


#: The far end of a way, from which what is pushed in must leave; a side hole may be covered for it.
_WAY_OUT = (
    r"(?:(?:the|its|this|a|each|both|all|every)\s+){0,2}(?:cones?|tips?|mouth|muzzle|outlets?|exits?"
    r"|(?:far|distal|front|other|opposite|free|working|exit|lower|both|all|two)\s+(?:ends?|openings?|holes?|mouths?)"
    r"|openings?(?:\s+(?:behind|at|in|of|on|near|below)\s+(?:the\s+)?[\w-]+){0,2})(?:\s+[A-Z]\d?)?"
)
_STOPPED = (
    r"(?:stopped(?:\s+up)?|closed|covered|blocked|sealed|plugged|shut|corked|capped|pinched|clamped|occluded"
    r"|held\s+shut|held\s+closed|stoppered)"
)
_FINGER = r"(?:fingers?|fingertips?|finger\s+tips?|thumbs?(?!\s+(?:hole|ring|wheel|screw|lever|rest)))"
_HELD = (
    re.compile(
        rf"\b{_WAY_OUT}{_LINK}{_STOPPED}\b"
        rf"|\b{_STOPPED}\s+(?:the\s+)?{_WAY_OUT}\b",
        re.IGNORECASE,
    ),
    re.compile(
        rf"\b{_FINGER}(?:\s+(?:is|kept|held|pressed|put|placed|laid|firmly|tightly|still|always|tight)){{0,3}}"
        rf"\s+(?:on|over|against|across|in\s+front\s+of|upon|onto)\s+{_WAY_OUT}\b",
        re.IGNORECASE,
    ),
    re.compile(
        rf"\b(?:hold|holding|close|closing|cover|covering|block|blocking|stop|stopping|seal|sealing|plug|plugging|pinch"
        rf"|pinching)\s+(?:off\s+|up\s+)?{_WAY_OUT}\s+(?:shut\s+|closed\s+)?(?:with|by)\s+(?:an?\s+|your\s+|the\s+)?"
        rf"(?:gloved\s+)?(?:{_FINGER}|{_COVERS})\b",
        re.IGNORECASE,
    ),
)
_SIDE_HOLE = re.compile(
    r"\b(?:thumb|finger|side|vent|suction|control|relief|regulating|lateral|air)[\s-]+(?:holes?|openings?|ports?|vents?|slots?)\b",
    re.IGNORECASE,
)


def holds_way_out(text: str) -> bool:
    """Whether some words keep the far end of a way shut; a hole at its side is no far end.

    >>> holds_way_out("Flush it three times with a fingertip on the cone.")
    True
    >>> holds_way_out("With the thumb hole covered, flush the stem.")
    False
    """
    rest = _SIDE_HOLE.sub("side", text)
    return any(pattern.search(rest) for pattern in _HELD)


def shuts(text: str, feature: str) -> bool:
    """Whether some words shut a jaw, a ratchet or a port, whatever else they say of it.

    >>> shuts("the stopcocks being closed", "port"), shuts("the ratchet on its last tooth", "ratchet")
    (True, True)
    >>> shuts("closed container with tray", "port")
    False
    """
    return any(pattern.search(text) for pattern in _SHUT[feature])


def shut_in_words(said: str, feature: str) -> bool:
    """Whether words of packing shut a feature, by themselves and without a condition."""
    return any(
        (says(clause, f"shut-{feature}") or shuts(clause, feature))
        and not any(says(clause, sense) for sense in ("negation", "after-steam", "dry-socket", "unshut"))
        and not (feature == "port" and says(clause, "laid-aside") and says(clause, "cap-words"))
        for sentence in clauses(said)
        for clause in _PIECES.split(sentence)
    )


def is_shut(case: Case, feature: str, held: Held) -> bool:
    """Whether a feature is shut; a capped cable socket is no port that liquid or steam has to pass."""
    since = case.instruction.step(held.since)
    said = " ".join(words(step) for step in case.beside(since))
    is_socket = feature == "port" and says(said, "dry-socket")
    return SHUT.get(feature) == held.position and not is_socket


def position_of(feature: str) -> Evidence:
    """What a finding tells of a feature that is shut."""
    return {"feature": feature, "position": SHUT[feature]}
