"""Instruction to findings."""

from __future__ import annotations

from collections.abc import Iterable

from sinkside.findings import Finding, worst_first
from sinkside.instruction import Instruction
from sinkside.limits import Profile
from sinkside.limits import profile as limits_profile
from sinkside.review.case import Case
from sinkside.review.glossing import glossed
from sinkside.review.registry import RULES
from sinkside.review.rule import Rule


def review(
    instruction: Instruction,
    *,
    profile: str | Profile = "eu",
    altitude_m: float = 0.0,
    language: str = "en",
    rules: Iterable[Rule] = RULES,
) -> tuple[Finding, ...]:
    """What is wrong with an instruction, worst first.

    Args:
        instruction: the maker's text as data.
        profile: the limits profile to judge by, or its name: us, eu or uk.
        altitude_m: altitude of the department in metres; it decides what a gauge pressure is worth.
        language: the language of messages and remedies.
        rules: the rules to judge by; all of them unless told.

    Raises:
        BadInput: if the profile or the language is unknown.

    >>> from sinkside.instruction import Device, Step
    >>> from sinkside.quantities import Figure
    >>> hot = Figure(quantity="temperature", value=143, unit="°C")
    >>> cycle = Step(id="s1", stage="sterilization", action="sterilize", figures=(hot,))
    >>> findings = review(Instruction(device=Device(name="Grasper"), steps=(cycle,)))
    >>> "steam-temperature-not-recognised" in {finding.rule for finding in findings}
    True
    """
    in_force = limits_profile(profile) if isinstance(profile, str) else profile
    in_english = glossed(instruction)
    case = Case(in_english.instruction, in_force, altitude_m, in_english.printed)
    findings: dict[tuple[str, str, str], Finding] = {}
    for rule in rules:
        for finding in rule.findings(case, language=language):
            # One sentence often makes several steps; what is wrong with it is said once.
            where = finding.place.text or finding.place.step or ""
            findings.setdefault((finding.rule, where, finding.message), finding)
    return tuple(worst_first(findings.values()))
