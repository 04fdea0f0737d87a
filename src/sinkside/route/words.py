"""What the words of a step ask for: which water, which chemistry, which tool, which wrapping.

English words of the trade; a text in another language is drafted into these words first.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Literal

from sinkside.department import ChemicalKind, PackagingKind, SterilizingMethod, WaterGrade

ToolKind = Literal[
    "lens", "light", "syringe", "adaptor", "insulation-tester", "borescope", "cloth", "sponge", "scale"
]
LubricantBase = Literal["water-soluble", "white-oil", "silicone"]

#: Most particular first: "sterile water" is not "water".
_WATER = (
    (re.compile(r"\bsterile\s+(?:\w+\s+)?water", re.IGNORECASE), WaterGrade.sterile),
    (re.compile(r"\bcritical\s+water", re.IGNORECASE), WaterGrade.critical),
    (
        re.compile(r"\b(?:demineral|deioni[sz]ed|distilled|purified|osmosis)|\b(?-i:RO|DI)\b", re.IGNORECASE),
        WaterGrade.demineralised,
    ),
    (re.compile(r"\butility\s+water", re.IGNORECASE), WaterGrade.utility),
    (re.compile(r"\bwater\b", re.IGNORECASE), WaterGrade.tap),
)

_CHEMICALS = (
    (re.compile(r"\bmild(?:ly)?[\s-]+alkaline", re.IGNORECASE), ChemicalKind.mildly_alkaline),
    (re.compile(r"(?<!mildly )(?<!mildly-)(?<!mild )\balkaline", re.IGNORECASE), ChemicalKind.alkaline),
    (re.compile(r"\bpre-?treatment|\bfoam\b|\bmoisten(?:ing|er)", re.IGNORECASE), ChemicalKind.pretreatment),
    (re.compile(r"\bneutrali[sz](?:er|ing|ation)", re.IGNORECASE), ChemicalKind.neutralizer),
    (re.compile(r"\brinse[\s-]+aid", re.IGNORECASE), ChemicalKind.rinse_aid),
    (re.compile(r"\bdisinfectant|\bdisinfecting solution", re.IGNORECASE), ChemicalKind.disinfectant),
    (re.compile(r"\bneutral\b|\bpH-neutral", re.IGNORECASE), ChemicalKind.neutral),
    (re.compile(r"\benzym", re.IGNORECASE), ChemicalKind.enzymatic),
)
_ANY_DETERGENT = re.compile(
    r"\bdetergent|\bclean(?:er|ing (?:agent|solution|chemical))|\bchemi", re.IGNORECASE
)
_DETERGENTS = (ChemicalKind.neutral, ChemicalKind.enzymatic, ChemicalKind.mildly_alkaline)
_DETERGENT = " detergent"
_SOLUTION = re.compile(r"\bsolution|\bsame\b|\bfresh\b", re.IGNORECASE)

_TOOLS: tuple[tuple[re.Pattern[str], ToolKind], ...] = (
    (re.compile(r"\bsyringe", re.IGNORECASE), "syringe"),
    (re.compile(r"\badapt[eo]r|\birrigation tube", re.IGNORECASE), "adaptor"),
    (re.compile(r"\binsulation[\s-]+test|\bhigh[\s-]+voltage tester", re.IGNORECASE), "insulation-tester"),
    (re.compile(r"\bborescope", re.IGNORECASE), "borescope"),
    (re.compile(r"\bsponge", re.IGNORECASE), "sponge"),
    (re.compile(r"\bcloth|\bwipes?\b|\btowel", re.IGNORECASE), "cloth"),
    (
        re.compile(r"\blamp|\blight\s+source|\b(?:inspection|examination|work|bench)\s+light", re.IGNORECASE),
        "light",
    ),
    (re.compile(r"\blens\b|\bmagnif|\bloupe|\bmicroscope", re.IGNORECASE), "lens"),
    (re.compile(r"\bscales?\b", re.IGNORECASE), "scale"),
)

_PACKAGING: tuple[tuple[re.Pattern[str], PackagingKind], ...] = (
    (re.compile(r"\bwrap", re.IGNORECASE), "wrap"),
    (re.compile(r"\bpouch", re.IGNORECASE), "pouch"),
    (re.compile(r"\bcontainer", re.IGNORECASE), "container"),
    (re.compile(r"\btrays?\b", re.IGNORECASE), "tray"),
    (re.compile(r"\b(?:silicone\s+|finger\s+)?mats?\b", re.IGNORECASE), "mat"),
    (re.compile(r"\btip[\s-]+(?:protect|guard)", re.IGNORECASE), "tip-protector"),
)

#: Most particular first: steam with formaldehyde is no steam cycle.
_METHODS: tuple[tuple[re.Pattern[str], SterilizingMethod], ...] = (
    (re.compile(r"\bformaldehyde|\bLTSF\b", re.IGNORECASE), SterilizingMethod.steam_formaldehyde),
    (re.compile(r"\bethylene\s+oxide|\b(?-i:Et?O)\b", re.IGNORECASE), SterilizingMethod.ethylene_oxide),
    (
        re.compile(r"\bhydrogen\s+peroxide|\bH2O2\b|\bplasma\b", re.IGNORECASE),
        SterilizingMethod.hydrogen_peroxide,
    ),
    (re.compile(r"\bperacetic", re.IGNORECASE), SterilizingMethod.peracetic_acid),
    (re.compile(r"\bozone", re.IGNORECASE), SterilizingMethod.ozone),
)

_BASES: tuple[tuple[re.Pattern[str], LubricantBase], ...] = (
    (re.compile(r"\bwater[\s-]+soluble", re.IGNORECASE), "water-soluble"),
    (re.compile(r"\bwhite[\s-]+(?:mineral[\s-]+)?oil|\bparaffin", re.IGNORECASE), "white-oil"),
)
_SILICONE = re.compile(r"silicone", re.IGNORECASE)
_NO_SILICONE = re.compile(
    r"silicone[\s-]+free|(?:no|not|without|free of|non)[\s-]+(?:\w+\s+){0,3}silicone", re.IGNORECASE
)

_IMMEDIATE = re.compile(r"\bimmediate[\s-]+use|\bflash\b|\bIUSS\b|\bunwrapped\b", re.IGNORECASE)
_PRION = re.compile(r"\bprion|\bCJD\b|creutzfeldt|\bTSE\b|spongiform", re.IGNORECASE)
_CABINET = re.compile(r"\bcabinet", re.IGNORECASE)
_AIR = re.compile(r"\bair\b", re.IGNORECASE)
_AIR_FROM_A_LINE = re.compile(
    r"\b(?:medical|instrument|compressed|filtered|pressuri[sz]ed|oil-free)\b[^.]*\bair\b"
    r"|\bair (?:pistol|gun|jet)",
    re.IGNORECASE,
)
_MEDICAL = re.compile(r"\bmedical\b", re.IGNORECASE)


def water_grade(words: str) -> WaterGrade | None:
    """The grade of water that words ask for; `tap` where they only say water.

    >>> water_grade("cold sterile water"), water_grade("a lint-free cloth")
    (<WaterGrade.sterile: 'sterile'>, None)
    """
    return next((grade for pattern, grade in _WATER if pattern.search(words)), None)


def chemical_kinds(words: str) -> tuple[tuple[ChemicalKind, ...], ...]:
    """What kinds would do: one of the alternatives, and of that all kinds together.

    >>> [[kind.value for kind in kinds] for kinds in chemical_kinds("neutral enzymatic detergent")]
    [['neutral-detergent', 'enzymatic-detergent']]
    >>> [[kind.value for kind in kinds] for kinds in chemical_kinds("neutral or enzymatic cleaner")]
    [['neutral-detergent'], ['enzymatic-detergent']]
    """
    named = tuple(kind for pattern, kind in _CHEMICALS if pattern.search(words))
    if named:
        return tuple((kind,) for kind in named) if re.search(r"\bor\b|/", words) else (named,)
    return tuple((kind,) for kind in _DETERGENTS) if _ANY_DETERGENT.search(words) else ()


def kind_words(kinds: Iterable[ChemicalKind]) -> str:
    """Kinds of chemical as people say them, a noun that all share said once.

    >>> kind_words((ChemicalKind.enzymatic, ChemicalKind.neutral)), kind_words((ChemicalKind.rinse_aid,))
    ('enzymatic, neutral detergent', 'rinse aid')
    """
    named = [kind.value.replace("-", " ") for kind in kinds]
    if not all(name.endswith(_DETERGENT) for name in named):
        return ", ".join(named)
    return ", ".join(name.removesuffix(_DETERGENT) for name in named) + _DETERGENT


def names_a_kind(words: str) -> bool:
    """Whether words name a kind of chemical, and not only "the solution"."""
    return any(pattern.search(words) for pattern, _ in _CHEMICALS)


def refers_back(words: str) -> bool:
    """Whether words mean the solution spoken of before: "same solution", "fresh cleaner"."""
    return _SOLUTION.search(words) is not None and not names_a_kind(words)


def tool_kinds(words: str) -> tuple[ToolKind, ...]:
    """The tools that words name.

    >>> tool_kinds("syringe with Luer adaptor")
    ('syringe', 'adaptor')
    """
    return tuple(kind for pattern, kind in _TOOLS if pattern.search(words))


def packaging_kinds(words: str) -> tuple[PackagingKind, ...]:
    """The kinds of packaging that words name."""
    return tuple(kind for pattern, kind in _PACKAGING if pattern.search(words))


def sterilizing_method(words: str) -> SterilizingMethod | None:
    """What a cycle of gas or vapour sterilizes with; None if the words do not tell.

    >>> sterilizing_method("hydrogen peroxide vapour"), sterilizing_method("vapour")
    (<SterilizingMethod.hydrogen_peroxide: 'hydrogen-peroxide'>, None)
    """
    return next((method for pattern, method in _METHODS if pattern.search(words)), None)


def lubricant_bases(words: str) -> tuple[LubricantBase, ...]:
    """The bases of lubricant that words allow; silicone only where it is asked for.

    >>> lubricant_bases("medical white oil, no silicone")
    ('white-oil',)
    """
    named = tuple(base for pattern, base in _BASES if pattern.search(words))
    if _SILICONE.search(words) and not _NO_SILICONE.search(words):
        return (*named, "silicone")
    return named or ("water-soluble", "white-oil")


def is_immediate_use(words: str) -> bool:
    """Whether words speak of a cycle for immediate use, which is never a default route."""
    return _IMMEDIATE.search(words) is not None


def is_for_prions(words: str) -> bool:
    """Whether words speak of prion suspicion, for which a person decides and no cycle is proposed."""
    return _PRION.search(words) is not None


def names_a_cabinet(words: str) -> bool:
    """Whether words speak of a drying cabinet."""
    return _CABINET.search(words) is not None


def names_line_air(words: str) -> bool:
    """Whether words speak of air from a line; hot air is a machine's.

    >>> names_line_air("filtered instrument air"), names_line_air("hot air")
    (True, False)
    """
    return _AIR_FROM_A_LINE.search(words) is not None


def names_medical_air(words: str) -> bool:
    """Whether words speak of medical air."""
    return _AIR.search(words) is not None and _MEDICAL.search(words) is not None
