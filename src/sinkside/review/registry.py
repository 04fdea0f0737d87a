"""All rules, theme by theme."""

from __future__ import annotations

from sinkside.review.rule import Rule
from sinkside.review.themes import (
    chemistry,
    completeness,
    contradictions,
    limits,
    order,
    parts,
    physics,
    positions,
    reach,
    references,
    units,
    vagueness,
)

RULES: tuple[Rule, ...] = (
    *completeness.RULES,
    *order.RULES,
    *positions.RULES,
    *reach.RULES,
    *parts.RULES,
    *physics.RULES,
    *chemistry.RULES,
    *limits.RULES,
    *units.RULES,
    *contradictions.RULES,
    *references.RULES,
    *vagueness.RULES,
)


def rule_of(rule_id: str) -> Rule:
    """The rule of an id.

    Raises:
        KeyError: if there is none.

    >>> rule_of("exposure-too-short").theme.value
    'physics'
    """
    for known in RULES:
        if known.id == rule_id:
            return known
    raise KeyError(rule_id)
