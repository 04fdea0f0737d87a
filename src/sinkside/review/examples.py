"""The examples of each rule: an instruction that trips it, and one that must not."""

from __future__ import annotations

import functools
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import resources
from typing import Any

from sinkside.documents import parse, validate
from sinkside.instruction import Instruction
from sinkside.review.rule import Rule, Theme


@dataclass(frozen=True)
class Examples:
    """What trips a rule, and the same put right."""

    trips: Instruction
    passes: Instruction


def examples_of(rule: Rule) -> Examples:
    """The two examples of a rule.

    Raises:
        KeyError: if there are none.
        BadDocument: if one is no instruction.
    """
    pair = _of_theme(rule.theme)[rule.id]
    trips, passes = (
        validate(Instruction, _whole(pair[side]), resource=f"{rule.id}: {side}")
        for side in ("trips", "passes")
    )
    return Examples(trips, passes)


@functools.cache
def _of_theme(theme: Theme) -> Mapping[str, Any]:
    examples: dict[str, Any] = {}
    for name in (f"{theme.value}.yaml", f"{theme.value}-more.yaml"):
        page = resources.files("sinkside.review").joinpath("examples", name)
        if page.is_file():
            examples |= parse(page.read_text(encoding="utf-8"), resource=name, is_yaml=True) or {}
    return examples


def _whole(example: Mapping[str, Any]) -> dict[str, Any]:
    """An instruction from an example, which leaves out ids and line numbers."""
    steps = [
        {"id": f"s{n}", **step, "origin": _origin(step.get("origin"), n)}
        for n, step in enumerate(example.get("steps", []), start=1)
    ]
    below = len(steps)
    statements = [
        {**statement, "origin": _origin(statement.get("origin"), below + n)}
        for n, statement in enumerate(example.get("statements", []), start=1)
    ]
    return {"device": {"name": "Example"}, **example, "steps": steps, "statements": statements}


def _origin(words: Any, line: int) -> dict[str, Any]:
    return {"line": line, "text": words or ""}
