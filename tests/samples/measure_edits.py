"""Measure reviewing on single slips: one edit of a sample document of our own makes it wrong in one way.

python measure_edits.py SET [SET ...] [--misses]

SET is a file of `edits/` or a path. Each edit is put into its carrier; the carrier and what it became are
reviewed, and what the review says of the second and did not say of the first is counted: the slip is seen
where a new finding points at its quotes, as `score.py` counts that; a new stop or concern that points at
nothing planted is noise, and on a decoy an alarm. Of a set kept aside only totals are printed.
"""

from __future__ import annotations

import argparse
import functools
import importlib.util
import json
import sys
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sinkside.draft import draft_text
from sinkside.findings import Finding, Level
from sinkside.instruction import Instruction
from sinkside.review import review

HERE = Path(__file__).parent
OWN, EDITS = HERE / "own", HERE / "edits"
_LOUD = frozenset({Level.stop, Level.concern})
_POINTS_AT = 0.5
KEPT_ASIDE = frozenset({"d"})


@dataclass
class Seen:
    """What was counted on a set of edits."""

    slips: int = 0
    found: int = 0
    decoys: int = 0
    stops: list[str] = field(default_factory=list)
    alarms: list[str] = field(default_factory=list)
    noise: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    kinds: Counter[str] = field(default_factory=Counter)
    kinds_found: Counter[str] = field(default_factory=Counter)


def edited(text: str, edit: dict[str, Any]) -> str:
    """A carrier with one edit put in.

    Raises:
        ValueError: if a place to be edited does not stand there exactly once.
    """
    for change in edit["edits"]:
        if text.count(change["find"]) != 1:
            raise ValueError(f"{edit['id']}: '{change['find']}' does not stand once in {edit['carrier']}")
        text = text.replace(change["find"], change["put"])
    return text


@functools.cache
def _scorer() -> Any:
    """The scorer beside this file, which is measured by and not changed."""
    spec = importlib.util.spec_from_file_location("score", HERE / "score.py")
    if spec is None or spec.loader is None:
        raise FileNotFoundError(HERE / "score.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@functools.cache
def carrier(name: str) -> tuple[str, dict[str, Any], frozenset[tuple[str, str]]]:
    """A document's text, its truth, and what the review says of it as it is."""
    text = (OWN / f"{name}.txt").read_text(encoding="utf-8")
    truth: dict[str, Any] = json.loads((OWN / f"{name}.json").read_text(encoding="utf-8"))
    return text, truth, frozenset(_key(one) for one in _findings(text))


def count(edits: list[dict[str, Any]]) -> Seen:
    """Count a set of edits."""
    seen = Seen()
    for edit in edits:
        text, truth, before = carrier(edit["carrier"])
        new = [one for one in _findings(edited(text, edit)) if _key(one) not in before]
        planted = [quote for defect in truth["planted_defects"] for quote in defect["quotes"]]
        if edit["kind"] == "decoy":
            _count_decoy(seen, edit, [one for one in new if not _points_at(one, planted)])
        else:
            _count_slip(seen, edit, new, planted)
    return seen


def _count_slip(seen: Seen, edit: dict[str, Any], new: list[Finding], planted: list[str]) -> None:
    heard = _LOUD if edit["severity"] == "major" else frozenset(Level)
    seen.slips += 1
    seen.kinds[edit["kind"]] += 1
    if any(one.level in heard and _points_at(one, edit["quotes"]) for one in new):
        seen.found += 1
        seen.kinds_found[edit["kind"]] += 1
    else:
        seen.missed.append(f"{_name(edit)}: {edit['why']} | {' / '.join(edit['quotes'])}")
    for one in new:
        if one.level in _LOUD and not _points_at(one, [*planted, *edit["quotes"]]):
            (seen.stops if one.level is Level.stop else seen.noise).append(f"{_name(edit)}: {_said(one)}")


def _count_decoy(seen: Seen, edit: dict[str, Any], new: list[Finding]) -> None:
    seen.decoys += 1
    seen.alarms += [f"{_name(edit)}: {_said(one)}" for one in new if one.level in _LOUD]


def _findings(text: str) -> list[Finding]:
    drafted: Instruction = draft_text(text)
    return list(review(drafted))


def _key(one: Finding) -> tuple[str, str]:
    return one.rule, one.place.text


def _points_at(one: Finding, quotes: list[str]) -> bool:
    texts = [place.text for place in (one.place, *one.more_places) if place.text]
    return any(_scorer().near(text, quote) >= _POINTS_AT for text in texts for quote in quotes)


def _name(edit: dict[str, Any]) -> str:
    return f"{edit['id']} {edit['kind']} ({edit['carrier'].split('/')[-1][:24]})"


def _said(one: Finding) -> str:
    return f"{one.level.value} {one.rule}: {one.message[:70]} | {one.place.text[:70]}"


def report(name: str, seen: Seen, *, with_misses: bool) -> list[str]:
    """Lines to print."""
    share = seen.found / seen.slips if seen.slips else 0.0
    lines = [
        (
            f"{name}: {seen.found} of {seen.slips} slips seen ({share:.3f}), noise {len(seen.noise)},"
            f" stops among it {len(seen.stops)}, alarms on {seen.decoys} decoys {len(seen.alarms)}"
        )
    ]
    if with_misses and name not in KEPT_ASIDE:
        lines += [f"  {kind}: {seen.kinds_found[kind]} of {all_}" for kind, all_ in seen.kinds.most_common()]
        for kind in ("missed", "stops", "noise", "alarms"):
            lines += [f"  {kind}: {line}" for line in getattr(seen, kind)]
    return lines


def main(arguments: list[str] | None = None) -> int:
    """Measure the sets asked for and print what was counted."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("sets", nargs="+")
    parser.add_argument("--misses", action="store_true", help="list misses and noise")
    asked = parser.parse_args(arguments)
    for name in asked.sets:
        path = Path(name) if name.endswith(".json") else EDITS / f"{name}.json"
        edits = json.loads(path.read_text(encoding="utf-8"))
        sys.stdout.write("\n".join(report(path.stem, count(edits), with_misses=asked.misses)) + "\n")
        sys.stdout.flush()
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
