"""All rules, theme by theme."""

from __future__ import annotations

from sinkside.review.rule import Rule
from sinkside.review.themes import (
    after_steam,
    agents,
    arithmetic,
    chemistry_and_materials,
    cited,
    completeness,
    contradictions,
    hot_water,
    in_one_sentence,
    in_words,
    inner_ways,
    kits,
    languages,
    languages_by_words,
    left_inside,
    left_out,
    let_pass,
    life_and_maintenance,
    lost_parts,
    materials,
    order,
    other_cycles,
    own_demands,
    own_words,
    packaging_and_sterilization,
    parts,
    physics,
    point_of_use_and_transport,
    positions,
    reach,
    references,
    renewing,
    revisions,
    rinsing,
    said_twice,
    slips,
    spoken,
    states,
    storage,
    together,
    told_apart,
    told_otherwise,
    two_figures,
    undone,
    units_and_arithmetic,
    untimely,
    untold,
    vagueness,
    ways,
    wrong_references,
)

RULES: tuple[Rule, ...] = (
    *completeness.RULES,
    *untold.RULES,
    *order.RULES,
    *after_steam.RULES,
    *together.RULES,
    *two_figures.RULES,
    *untimely.RULES,
    *inner_ways.RULES,
    *positions.RULES,
    *states.RULES,
    *reach.RULES,
    *left_inside.RULES,
    *left_out.RULES,
    *renewing.RULES,
    *rinsing.RULES,
    *ways.RULES,
    *parts.RULES,
    *lost_parts.RULES,
    *physics.RULES,
    *spoken.RULES,
    *chemistry_and_materials.RULES,
    *materials.RULES,
    *arithmetic.RULES,
    *units_and_arithmetic.RULES,
    *contradictions.RULES,
    *languages.RULES,
    *languages_by_words.RULES,
    *own_words.RULES,
    *own_demands.RULES,
    *said_twice.RULES,
    *references.RULES,
    *revisions.RULES,
    *wrong_references.RULES,
    *cited.RULES,
    *vagueness.RULES,
    *in_words.RULES,
    *life_and_maintenance.RULES,
    *point_of_use_and_transport.RULES,
    *packaging_and_sterilization.RULES,
    *storage.RULES,
    *told_otherwise.RULES,
    *let_pass.RULES,
    *agents.RULES,
    *other_cycles.RULES,
    *hot_water.RULES,
    *slips.RULES,
    *kits.RULES,
    *undone.RULES,
    *told_apart.RULES,
    *in_one_sentence.RULES,
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
