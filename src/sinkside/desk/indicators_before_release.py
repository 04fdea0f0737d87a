"""What must be present before a load may be released, what of it is there, and what a missing one means."""

from __future__ import annotations

import dataclasses
import functools
import tomllib
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from importlib import resources
from typing import Final, Literal

from pydantic import model_validator

from sinkside.desk.access import Visitor
from sinkside.desk.cycle_records import OpenCycle
from sinkside.desk.indicator_documents import Indicator, LoadHeld
from sinkside.desk.indicators import indicators_of, load_held
from sinkside.desk.machine_days import local_day
from sinkside.desk.machine_policy import policy as checks_policy
from sinkside.desk.machine_policy import source_words
from sinkside.desk.machine_rows import CHECK, OUT_OF_USE, row_id
from sinkside.desk.ports import Unit
from sinkside.documents import Value
from sinkside.limits import published
from sinkside.records import WantedRows
from sinkside.sources import WAYS_OF_READING

#: The need that looks at how a machine stands now.
_MACHINE: Final = "machine"

#: What follows where it is missing.
Missing = Literal["refuse", "reason", "told"]

#: How one needed thing stands.
State = Literal["there", "waiting", "late", "missing", "bad"]

_MOST_CHECKS: Final = 50


class Need(Value):
    """One thing that must be present before release, for which programs, and what follows where it is not."""

    name: str
    of: tuple[str, ...]
    what: Literal["load", "machine", "check", "chemical", "biological"]
    check: str = ""
    implant: bool = False
    missing: Missing
    figures: tuple[str, ...] = ()
    how_read: str = "memory"

    @property
    def source(self) -> str:
        """Who says so."""
        if not self.figures:
            return WAYS_OF_READING[self.how_read]
        figure = published(self.figures[0])
        return source_words(figure.source, figure.jurisdiction)


class ReleasePolicy(Value):
    """Every need by its id."""

    needs: dict[str, Need]

    @model_validator(mode="after")
    def _names_exist(self) -> ReleasePolicy:
        for need in self.needs.values():
            for name in need.figures:
                published(name)
            if need.check and need.check not in checks_policy().checks:
                raise ValueError(f"there is no check '{need.check}'")
        return self


@dataclass(frozen=True)
class NeededThing:
    """One needed thing of one load: how it stands, in a sentence; what follows where it is missing."""

    id: str
    name: str
    state: State
    sentence: str
    source: str
    missing: Missing

    @property
    def is_there(self) -> bool:
        """Whether it is present and speaks for release."""
        return self.state == "there"


def not_there_at_decision(needed: Iterable[NeededThing], without: Collection[str]) -> Iterator[NeededThing]:
    """What is not there, and what came only after somebody released `without` it: its sentence says so.

    A machine that went out of use since is nothing that nobody recorded.

    Args:
        needed: how each stands now.
        without: the names of what was not there at the decision.
    """
    for one in needed:
        if not one.is_there:
            if one.id != _MACHINE or one.name in without:
                yield one
        elif one.name in without:
            sentence = f"Not there when the load was released; afterwards: {one.sentence}"
            yield dataclasses.replace(one, sentence=sentence)


@functools.cache
def policy() -> ReleasePolicy:
    """The policy that comes with the program."""
    file = resources.files("sinkside.desk").joinpath("policies", "release.toml")
    return ReleasePolicy.model_validate(tomllib.loads(file.read_text(encoding="utf-8")))


def before_release(unit: Unit, who: Visitor, known: OpenCycle, *, now: datetime) -> tuple[NeededThing, ...]:
    """Everything that must be present before this load may be released, in the order of the policy."""
    kind = known.record.program.kind.value
    held = load_held(unit, known.row.id)
    indicators = [one for _, one in indicators_of(unit, known.row.id)]
    found = []
    for need_id, need in policy().needs.items():
        if kind not in need.of or (need.implant and not (held and held.implant)):
            continue
        state, sentence = _stands(unit, who, known, need, (held, indicators), now=now)
        found.append(NeededThing(need_id, need.name, state, sentence, need.source, need.missing))
    asked = {policy().needs[one.id].what for one in found}
    beside = [one for one in indicators if one.kind == "biological"]
    if beside and "biological" not in asked:
        found.append(_beside(beside, now=now))
    return tuple(found)


def still_missing(things: Iterable[NeededThing], *follows: Missing) -> tuple[NeededThing, ...]:
    """Those that are not there and of which one of these follows."""
    return tuple(one for one in things if not one.is_there and one.missing in follows)


def _beside(found: list[Indicator], *, now: datetime) -> NeededThing:
    """A biological indicator that nothing asked for: told while it incubates, but growth lets nothing out."""
    state, sentence = _indicator(found, now=now)
    follows: Missing = "refuse" if state == "bad" else "told"
    return NeededThing("biological", "Biological indicator in this load", state, sentence, "", follows)


def _stands(
    unit: Unit,
    who: Visitor,
    known: OpenCycle,
    need: Need,
    of_load: tuple[LoadHeld | None, list[Indicator]],
    *,
    now: datetime,
) -> tuple[State, str]:
    held, indicators = of_load
    if need.what == "load":
        return _held(held)
    if need.what == "machine":
        return _machine(unit, who, known)
    if need.what == "check":
        return _check(unit, who, known, need)
    return _indicator([one for one in indicators if one.kind == need.what], now=now)


def _held(held: LoadHeld | None) -> tuple[State, str]:
    if held is None:
        return "missing", "Nobody has said whether there was an implant in it."
    words = f": {held.words}" if held.words else ""
    return "there", f"{'With an implant' if held.implant else 'No implant'}{words}."


def _machine(unit: Unit, who: Visitor, known: OpenCycle) -> tuple[State, str]:
    if known.record.out_of_use:
        return "bad", f"It was out of use when the record was handed in: {known.record.out_of_use}"
    row = unit.rows.get("machine", row_id(who.department, known.record.machine))
    if row is not None and row.state == OUT_OF_USE:
        return "bad", f"It is out of use by now: {row.fields.get('reason', '')}"
    return "there", f"{known.record.machine_name} is in use."


def _check(unit: Unit, who: Visitor, known: OpenCycle, need: Need) -> tuple[State, str]:
    """The check of the day on which the record was handed in, whichever came last."""
    day = local_day(known.handed_in, who.zone)
    wanted = WantedRows(states=[known.record.machine], fields={"check": need.check}, limit=_MOST_CHECKS)
    for row in unit.rows.found(CHECK, [who.department], wanted):
        if local_day(row.updated, who.zone) == day:
            said = str(row.fields.get("said", ""))
            if row.fields.get("passed"):
                return "there", f"Passed on {day.isoformat()}."
            return "bad", f"Not passed on {day.isoformat()}: {said}"
    return "missing", f"None was recorded on {day.isoformat()}."


def _indicator(found: list[Indicator], *, now: datetime) -> tuple[State, str]:
    """How the indicators of a load stand together: one that speaks against release outweighs the others."""
    for one in found:
        if one.outcome in {"positive", "failed"}:
            word = "Growth" if one.outcome == "positive" else "Not changed as it should"
            return "bad", f"{word}; {one.lot_words}."
    for one in found:
        if one.outcome in {"negative", "passed"}:
            word = "No growth, and the control grew" if one.outcome == "negative" else "Changed as it should"
            return "there", f"{word}; {one.lot_words}."
    for one in found:
        if one.outcome == "waiting" and one.read_from is not None:
            is_late = now > one.read_from
            return (
                ("late", "Its hours are over; it is still to be read.")
                if is_late
                else (
                    "waiting",
                    "It incubates.",
                )
            )
    if found:
        return "missing", "Its control did not grow, so that it says nothing; place another one."
    return "missing", "None is recorded."
