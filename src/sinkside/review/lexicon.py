"""What some words say: senses kept as data, so that no rule carries a word list of its own."""

from __future__ import annotations

import functools
import re
import tomllib
from collections.abc import Iterator
from importlib import resources

from sinkside.review.spelling import Spellings

_CLAUSE_ENDS = re.compile(r"(?<!\d)[.;:!?()|]|[.;:!?()|](?!\d)")
_FORBIDS_A_LIST = re.compile(r"\b(not(?: \w+)?|prohibited|forbidden|excluded)\s*:", re.IGNORECASE)
_SENTENCE_ENDS = re.compile(r"(?<=[.;!?])\s+(?=[A-Z(]|[ivx]{1,4}\s)")
_ENDS_DENIED = re.compile(r"\b(?:is|are|was|were)\s+not\s*$", re.IGNORECASE)
#: "The insert is unsuitable for", "does not stand", "is damaged by": what stands behind is ruled out.
_ENDS_UNFIT = re.compile(
    r"\b(?:(?:unsuitable|unsuited|unfit|prohibited|forbidden|excluded|barred|banned)\s+(?:for|from|in|to)"
    r"|(?:not|cannot|never)\s+(?:be\s+)?(?:resistant\s+to|proof\s+against|compatible\s+with|exposed\s+to|subjected\s+to"
    r"|withstand|tolerate|stand|survive|made\s+for|meant\s+for|tested\s+for|approved\s+for|validated\s+for|fit\s+for)"
    r"|sensitive\s+to|(?:damaged|destroyed|ruined|harmed|attacked|loosened|impaired|spoil(?:t|ed))\s+by)"
    r"(?:\s+(?:use|treatment|cleaning|processing|be|any|the|an?)){0,4}\s*$",
    re.IGNORECASE,
)
_HARMS = re.compile(
    r"\s*(?:would\s+|will\s+|can\s+|may\s+|baths?\s+|cleaning\s+|treatment\s+)*"
    r"(?:damages?|destroys?|ruins?|harms?|loosens?|cracks?|shatters?|dulls?|attacks?|corrodes?)\b",
    re.IGNORECASE,
)
_COMPOUND = re.compile(
    r"\b[\w-]+\s+(?:compartment|chamber|bay|contacts?|holder|door|window|opening|slot|socket|seat|hole|side|end)s?\b",
    re.IGNORECASE,
)
#: "the seal (5)", "the tube (B)": the label of a part ends no clause, and its number is no figure.
_LABEL = re.compile(r"\s+\((?:\d{1,2}|(?P<letter>[A-Z]))\)")
#: "Do not soak any part in hydrogen peroxide or bleach": what denies the first denies the second.
_JOINED_BY_OR = re.compile(r"\b(?:or|nor)\s+(?:in\s+|with\s+)?(?:an?\s+|any\s+)?$", re.IGNORECASE)
#: "Neither oil nor grease may be used", "No oil may be used".
_ALLOWS_NONE = re.compile(
    r"\W*(?:neither|no|none|nothing|in no case|under no circumstances)\b", re.IGNORECASE
)
_DIGIT = re.compile(r"\d")
_FILES_OF_SENSES = (
    "senses.toml",
    "senses_practice.toml",
    "senses_told.toml",
    "senses_found.toml",
    "senses_undone.toml",
    "senses_beside.toml",
    "senses_left.toml",
    "senses_against.toml",
    "senses_figures.toml",
    "senses_gaps.toml",
    "senses_parts.toml",
    "senses_state.toml",
)
#: ".." in a sense: what stands between the halves of a verb, "put the seal (5) back".
_SOME_WORDS = r"(?:[\s-]+[\w()]+){1,5}?[\s-]+"
_WORDS_BEFORE = 7
_WORDS_AFTER = 10
_SHORTEST_SUBJECT = 2
_NUMBER = (
    r"(?-i:[b-z](?=[\s.,;:)]|$)|\d+(?:\.\d+)*[a-z]?(?!\w)|\([a-z]{1,3}\)|\([ivx]+\)"
    r"|[A-Z]{1,2}\d+|[IVXL]{2,7}(?!\w)|[A-Z](?!\w))"
)
_REFERENCE = re.compile(
    r"(?<![\w-])(?P<kind>steps?|tasks?|operations?|stations?|chapters?|sections?|rows?|paragraphs?|points?|items?|clauses?|cards?|rules?|tables?"
    r"|box(?:es)?|lines?|blocks?|panels?|tiles?|figures?|figs?\.?|pictures?|illustrations?|drawings?|photos?|sketch(?:es)?|diagrams?|images?|appendix"
    r"|annex|pages?|notes?|questions?|answers?)\s+"
    rf"(?P<first>{_NUMBER})(?:\s*(?:to|and|or|-|\u2013|,)\s*(?P<second>{_NUMBER}))?",
    re.IGNORECASE,
)
_SEE_NUMBER = re.compile(r"\bsee\s+(?:also\s+)?(?P<first>\d+(?:\.\d+)*)(?=\s*[.,;)]|\s*$)", re.IGNORECASE)
#: "as in 7.9.3": a number of more than one piece is no figure.
_AS_IN_NUMBER = re.compile(
    r"\b(?:as in|as per|as under|according to|repeat|given in|listed in|described in"
    r"|found under|found in|stated in|set out in|shown in)\s+(?P<first>\d+(?:\.\d+)+)(?=\s*[.,;)]|\s*$)",
    re.IGNORECASE,
)
#: "see § 15"; "§ 8 of the act" leads elsewhere.
_SECTION_SIGN = re.compile(r"§+\s*(?P<first>\d+(?:\.\d+)*[a-z]?)\b(?!\s*(?:\(\d|Abs\b|MP|IfSG|CFR|para\b))")
#: "see (15)", "go on with (6)".
_SEE_PARENTHESIS = re.compile(
    r"\b(?:see|go to|go on with|continue with|as in|repeat|back to)\s*\((?P<first>\d{1,2}[a-z]?)\)",
    re.IGNORECASE,
)
#: "see [29]", "→ [7]": items that carry their number in brackets.
_SEE_BRACKET = re.compile(
    r"(?:\bsee|\u2192|->|\brepeat|\bas in|\bas)\s*[\[<](?P<first>\d{1,3}[a-z]?)[\]>]", re.IGNORECASE
)
#: "see N7", "as in R3": labels of a letter and a number.
_SEE_LABEL = re.compile(
    r"\b(?:see|as in|as per|under|follow|repeat|back to|again (?:at|from|with)|go(?:es)? (?:on )?(?:to|with)"
    r"|straight on to|on to|continue (?:at|with|from)|start (?:at|from|with)|according to|described in)\s+"
    r"(?P<first>(?-i:[A-Z]{1,2}\d{1,2}))(?!\w)"
)
#: "part 4 of this letter"; the parts of the device are no parts of the text.
_PART_OF_TEXT = re.compile(
    r"\bparts?\s+(?P<first>\d{1,2}|[IVX]{1,4})\s+(?:of|in)\s+(?:this|these|the|our)\s+(?:\w+\s+)?"
    r"(?:letter|manual|document|leaflet|instructions?|text|booklet|brochure|sheet|guide)\b"
)
_KINDS = {
    "fig": "figure",
    "fig.": "figure",
    "picture": "figure",
    "illustration": "figure",
    "drawing": "figure",
    "photo": "figure",
    "sketch": "figure",
    "sketche": "figure",
    "diagram": "figure",
    "image": "figure",
    "annex": "appendix",
    "boxe": "box",
}
_BACK_TO = re.compile(
    r"\b(?:back to|go to|return to|again from|repeat from)\s+"
    r"(?P<first>(?-i:[A-Z]{0,2})\d+(?:\.\d+)*)(?=\s*[.,;)]|\s*$)",
    re.IGNORECASE,
)
#: "Section 5 of ISO 17664" and "page 3 of 12" lead out of the text, or nowhere.
_LEADS_ELSEWHERE = re.compile(
    r"\s*(?:of|in)\s+(?:(?:the|our)\s+)?(?:ISO|EN|DIN|AAMI|ANSI|IEC|standard|manual|\d)", re.IGNORECASE
)


@functools.lru_cache(maxsize=65536)
def says(text: str, sense: str) -> bool:
    """Whether some words say a sense of the lexicon.

    >>> says("Pull the insert out, then dry it.", "drying")
    True
    """
    return _sense(sense).is_in(text)


def found(text: str, sense: str) -> frozenset[str]:
    """The words of a text that say a sense, in lower case."""
    return frozenset(match[0].lower() for match in _sense(sense).finditer(text))


def heads(text: str, sense: str) -> frozenset[str]:
    """The words of a sense that are no first half of a name: "battery compartment" is no battery.

    >>> sorted(heads("Open the battery compartment of the handle.", "component"))
    ['handle']
    """
    return found(_COMPOUND.sub(" ", text), sense)


def subjects(text: str, *without: str) -> frozenset[str]:
    """The things that a text is about: its words without figures and without words that name no thing.

    Args:
        text: the words.
        without: senses whose words are left out too.

    >>> sorted(subjects("Do not immerse the battery housing in liquids.", "immersion"))
    ['battery', 'housing']
    """
    for sense in (*without, "plain"):
        text = _sense(sense).sub(" ", text)
    words = (word.strip(".,;:!?()|\"'").removesuffix("s") for word in text.lower().split())
    return frozenset(word for word in words if len(word) > _SHORTEST_SUBJECT and word.isalpha())


def singular(word: str) -> str:
    """A word in lower case without the ending of the plural.

    >>> singular("Batteries"), singular("caps")
    ('battery', 'cap')
    """
    word = word.lower()
    return f"{word[:-3]}y" if word.endswith("ies") else word.removesuffix("s")


def in_front_of(text: str, sense: str) -> str:
    """The words in front of the first that say a sense: what a sentence says it of.

    >>> in_front_of("The handpiece is supplied sterile.", "supplied-sterile")
    'The handpiece is'
    """
    match = _sense(sense).search(text)
    return text[: match.start()].strip() if match else ""


def behind(text: str, sense: str) -> str:
    """The words behind the first that say a sense; none where nothing says it.

    >>> behind("alcohol above 70 %", "alcohol")
    'above 70 %'
    """
    match = _sense(sense).search(text)
    return text[match.end() :].strip() if match else ""


def without(text: str, sense: str) -> str:
    """A text without the words that say a sense: "dry heat" says nothing about drying.

    >>> says(without("Dry heat is not allowed.", "dry-heat"), "drying")
    False
    """
    return _sense(sense).sub(" ", text)


@functools.lru_cache(maxsize=8192)
def clauses(text: str) -> tuple[str, ...]:
    """The clauses of a text; what stands behind a reason is left out."""
    pieces = _CLAUSE_ENDS.split(
        _FORBIDS_A_LIST.sub(
            r"\1 ", _LABEL.sub(lambda label: f" {label['letter']}" if label["letter"] else "", text)
        )
    )
    kept = (_in_front_of_a_reason(clause) for clause in pieces)
    return tuple(clause for clause in kept if clause.strip())


def _in_front_of_a_reason(clause: str) -> str:
    reason = _sense("because").search(clause)
    return clause[: reason.start()] if reason else clause


def sentence_with(text: str, part: str) -> str:
    """The sentence of a text in which some words stand; the whole text where they stand nowhere.

    >>> sentence_with("T is renewed after 20 uses. B lasts 150 cycles.", "150 cycles")
    'B lasts 150 cycles.'
    """
    for sentence in _SENTENCE_ENDS.split(text):
        if part and part in sentence:
            return sentence.strip()
    return text


def sentences(text: str) -> tuple[str, ...]:
    """The sentences of a text.

    >>> sentences("Dry the parts. Pack them.")
    ('Dry the parts.', 'Pack them.')
    """
    return tuple(_SENTENCE_ENDS.split(text))


def one_behind_the_other(text: str, first: str, second: str) -> frozenset[str]:
    """The words of a text in which a word of one sense governs one of another, at most two words apart.

    >>> one_behind_the_other("Use a suitable soft brush.", "open-word", "wants-a-figure")
    frozenset({'suitable soft brush'})
    """
    held = tuple(tuple(_sense(sense).held(text)) for sense in (first, second))
    if not all(held):
        return frozenset()
    return frozenset(match[0].lower() for match in _pattern_of_two(*held).finditer(text))


def bans(text: str, sense: str) -> str | None:
    """The clause that forbids something without a condition, or None.

    A figure, a medium or an "until" makes a bound of a prohibition, not a ban of the whole thing.

    >>> bans("Do not immerse the handle in liquids.", "immersion")
    'Do not immerse the handle in liquids'
    >>> bans("Do not soak in saline.", "immersion") is None
    True
    """
    if not says(text, sense):
        return None
    for clause in clauses(text):
        if says(clause, "allowed-words") and not (says(clause, "forbidden") or _ALLOWS_NONE.match(clause)):
            continue
        for match in _sense(sense).finditer(clause):
            if _forbids(clause[: match.start()], clause[match.end() :]):
                return clause.strip()
    return None


def negated(text: str, sense: str) -> bool:
    """Whether every clause that says a sense denies it: "do not use saline", "chloride-free".

    >>> negated("wipe; do not use saline", "saline"), negated("Lay it in saline, not in water.", "saline")
    (True, False)
    """
    said = [
        (clause[: match.start()], clause[match.end() :])
        for clause in _CLAUSE_ENDS.split(text)
        for match in _sense(sense).finditer(clause)
    ]
    return bool(said) and all(
        says(_last_words(before), "negation")
        or (_JOINED_BY_OR.search(before) is not None and says(before, "negation"))
        or _free_of(after)
        or says(_first_words(after), "forbidden")
        or _ENDS_DENIED.search(after) is not None
        for before, after in said
    )


@functools.lru_cache(maxsize=8192)
def references(text: str) -> tuple[tuple[str, str], ...]:
    """What a text refers to by number or letter: the kind of thing, in the singular, and its label.

    >>> list(references("Repeat steps 5 and 6 (see chapter 12), as clause (ff) says."))
    [('step', '5'), ('step', '6'), ('chapter', '12'), ('clause', 'ff')]
    """
    return tuple(_referred_to(text))


def _referred_to(text: str) -> Iterator[tuple[str, str]]:
    for match in _REFERENCE.finditer(text):
        if _LEADS_ELSEWHERE.match(text, match.end()):
            continue
        kind = _kind(match["kind"])
        yield kind, match["first"].strip("()")
        if match["second"]:
            yield kind, match["second"].strip("()")
    yield from (("label", match["first"]) for match in _SEE_LABEL.finditer(text))
    for pattern in (_SEE_NUMBER, _AS_IN_NUMBER, _SECTION_SIGN, _PART_OF_TEXT):
        for match in pattern.finditer(text):
            if not _LEADS_ELSEWHERE.match(text, match.end()):
                yield "chapter", match["first"]
    for pattern in (_BACK_TO, _SEE_BRACKET, _SEE_PARENTHESIS):
        for match in pattern.finditer(text):
            yield "step", match["first"]


def ranges(text: str) -> Iterator[tuple[str, str]]:
    """The ranges of numbered things that a text refers to: first and last.

    >>> list(ranges("Rows 12-17 may be left out."))
    [('12', '17')]
    """
    for match in _REFERENCE.finditer(text):
        if match["second"]:
            yield match["first"], match["second"]


def _kind(written: str) -> str:
    """The kind of thing in the singular, one word for each."""
    kind = written.lower()
    singular = kind if kind in {"appendix", "annex"} else kind.rstrip(".").removesuffix("s")
    return _KINDS.get(singular, singular)


def _forbids(before: str, after: str) -> bool:
    near = _last_words(before)
    denied = says(near, "negation") and not says(f"{near} | {_first_words(after)}", "weak-negation")
    denied = denied or says(near, "keep-out") or _ENDS_UNFIT.search(near) is not None
    # "Ultrasound loosens the lens", but "repeated soaking dulls it" rules out no single one.
    harms = _HARMS.match(after) is not None and not says(near, "too-much-of-it")
    if not (denied or harms or says(_first_words(after), "forbidden")):
        return False
    rest = _sense("no-condition").sub(" ", after)
    return not (_DIGIT.search(rest) or says(rest, "condition") or says(before, "hard-condition"))


def _free_of(after: str) -> bool:
    return after.lstrip().startswith(("-free", "free"))


def _last_words(text: str) -> str:
    return " ".join(text.split()[-_WORDS_BEFORE:])


def _first_words(text: str) -> str:
    return " ".join(text.split()[:_WORDS_AFTER])


@functools.cache
def _senses() -> dict[str, list[str]]:
    english: dict[str, list[str]] = {}
    for name in _FILES_OF_SENSES:
        text = resources.files("sinkside.review").joinpath(name).read_text(encoding="utf-8")
        for sense, spellings in tomllib.loads(text)["en"].items():
            # A sense may go on in a later file.
            english.setdefault(sense, []).extend(spellings)
    return english


@functools.cache
def _sense(sense: str) -> Spellings:
    """All the words of a sense."""
    return Spellings(_senses()[sense], _spelled, behind=r"(?!\w)")


@functools.lru_cache(maxsize=4096)
def _pattern_of_two(first: tuple[str, ...], second: tuple[str, ...]) -> re.Pattern[str]:
    """One pattern for a word of one sense with a word of another behind it."""
    one, other = ("|".join(_spelled(words) for words in spellings) for spellings in (first, second))
    between = r"[\s-]+(?:\w+[\s-]+){0,2}?"
    return re.compile(rf"(?<!\w)(?:{one}){between}(?:{other})(?!\w)", re.IGNORECASE)


def _spelled(words: str) -> str:
    """The pattern of one spelling: ".." for some words, a star for some letters."""
    written = re.escape(words).replace(r"\ \.\.\ ", _SOME_WORDS)
    return written.replace(r"\*", r"\w*").replace(r"\ ", r"[\s-]+")
