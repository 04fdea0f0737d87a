"""The page of rules that stands in docs/rules."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.instruction import Instruction
from sinkside.review.examples import examples_of
from sinkside.review.registry import RULES
from sinkside.review.rule import Rule, Theme

_HEAD = """# Rules of the review

Each rule looks at one instruction. `stop` keeps papers off the floor until it is answered; `concern` goes
into the letter to the maker; `note` is for whoever reads the text next. This page is made from the registry
(`sinkside.review.rules_page`); a test keeps it in step.
"""


def rules_page() -> str:
    """Every rule with its level, title, source, remedy and both examples, as Markdown."""
    return "\n".join([_HEAD, *_contents(), *(line for theme in Theme for line in _theme(theme))])


def _contents() -> Iterator[str]:
    yield "| theme | rules |"
    yield "|---|---|"
    for theme in Theme:
        names = ", ".join(f"[{rule.id}](#{rule.id})" for rule in RULES if rule.theme is theme)
        yield f"| {theme.value} | {names} |"
    yield ""


def _theme(theme: Theme) -> Iterator[str]:
    yield f"## {theme.value.capitalize()}\n"
    for rule in RULES:
        if rule.theme is theme:
            yield from _rule(rule)


def _rule(rule: Rule) -> Iterator[str]:
    pair = examples_of(rule)
    yield f"### {rule.id}\n"
    yield f"**{rule.level.value}**: {rule.title}\n"
    yield f"- Says: {rule.message}"
    yield f"- Puts it right: {rule.remedy}"
    yield f"- Source: {rule.basis}"
    yield f"- Trips on: {_words(pair.trips)}"
    yield f"- Passes: {_words(pair.passes)}\n"


def _words(instruction: Instruction) -> str:
    """The words that an example stands for."""
    said = [step.origin.text for step in instruction.steps]
    said += [statement.origin.text for statement in instruction.statements]
    said += [limit.origin.text for limit in instruction.device.limits]
    said += [feature.origin.text for feature in instruction.device.features if feature.origin]
    return " / ".join(f"“{text}”" for text in dict.fromkeys(said) if text)
