"""Tables drawn with strokes in a text: rows between two rules are one row, however many lines they take."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from dataclasses import replace

from sinkside.draft.blocks import is_row
from sinkside.draft.lines import Line

_RULE = re.compile(r"\s*[|+][\s|+:=_~─-]*[-=─_][\s|+:=_~─-]*[|+]\s*")
_LEAST_ROWS = 3


def with_whole_rows(lines: list[Line]) -> list[Line]:
    """Lines in which the rows of tables with a rule under every row are one line each."""
    made: list[Line] = []
    for drawn, group in itertools.groupby(lines, key=_is_drawn):
        block = list(group)
        made.extend(_ruled_rows(block) if drawn else block)
    return made


def _is_drawn(line: Line) -> bool:
    return is_row(line.text) or _is_rule(line)


def _is_rule(line: Line) -> bool:
    return _RULE.fullmatch(line.text) is not None


def _ruled_rows(block: list[Line]) -> Iterator[Line]:
    """Only a rule below the first row of few parts heads from the body; rules below every row part rows."""
    groups = [(rule, list(group)) for rule, group in itertools.groupby(block, key=_is_rule)]
    bodies = [lines for rule, lines in groups if not rule]
    every = len(bodies) >= _LEAST_ROWS
    rules = [lines[0] for rule, lines in groups if rule]
    heads = next((rule for rule in rules if rule.number > block[0].number), None)
    for place, lines in enumerate(bodies):
        yield from [_whole(lines)] if every else lines
        if place == 0 and heads and (not every or "=" in heads.text):
            yield replace(heads, text="|---|")


def _whole(lines: list[Line]) -> Line:
    """The lines of one row, cell by cell."""
    cells = [[cell.strip() for cell in line.text.strip().strip("|").split("|")] for line in lines]
    columns = itertools.zip_longest(*cells, fillvalue="")
    whole = (" ".join(part for part in column if part) for column in columns)
    return replace(lines[0], text=f"| {' | '.join(whole)} |")
