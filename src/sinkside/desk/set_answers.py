"""What comes of a set in a department: contents, mass, findings and the common route, worked out once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from sinkside.department import Department
from sinkside.desk.departments import KIND as DEPARTMENT
from sinkside.desk.keeping import from_revision
from sinkside.desk.machine_things import profile_of
from sinkside.desk.ports import Unit
from sinkside.desk.remembered import Remembered
from sinkside.desk.set_texts import TextFound
from sinkside.findings import Finding, worst_first
from sinkside.instruction import Instruction
from sinkside.limits import profile
from sinkside.quantities import Quantity
from sinkside.records import Revision
from sinkside.route import Load, SetRoute, route_set
from sinkside.sets import Content, Member, SetDocument, SetMass, check_set, contents_of, mass_of, wordings

#: Findings of the set as a whole among the conflicts of its route; the rest are its members' own.
OF_THE_SET: Final = frozenset({"route-no-common-cycle", "route-set-too-heavy"})

_FEWEST: Final = 2


@dataclass(frozen=True)
class SetAnswer:
    """A set as it stands in a department.

    Attributes:
        contents: its lines.
        mass: what it weighs, and the limit in force.
        findings: what is wrong with it by its list and its texts, the worst first; not what its route says.
        route: the members' routes with their common cycle, or the split; none where no text is known, or
            nobody said what the department has.
        site: what the department has; none where nobody said so.
        routed: the members that have a text, in the order of their routes.
    """

    contents: tuple[Content, ...]
    mass: SetMass
    findings: tuple[Finding, ...]
    route: SetRoute | None
    site: Department | None
    routed: tuple[str, ...]

    @property
    def loads(self) -> tuple[Load, ...]:
        """The sterilizing loads; more than one where no cycle is common to all."""
        return self.route.loads if self.route else ()

    @property
    def must_be_split(self) -> bool:
        """Whether no cycle is common to all members."""
        return len(self.loads) >= _FEWEST

    @property
    def of_the_route(self) -> tuple[Finding, ...]:
        """What the common route says of the set as a whole."""
        if self.route is None:
            return ()
        return (*(one for one in self.route.conflicts if one.rule in OF_THE_SET), *self.route.findings)

    @property
    def stops_of_members(self) -> dict[str, tuple[Finding, ...]]:
        """What stops single members here, by what the set calls them."""
        if self.route is None or not self.route.routes:
            return {}
        pairs = zip(self.routed, self.route.routes, strict=True)
        return {called: route.stops for called, route in pairs if route.stops}


#: By the digests of the set, the department and every text; as many as a department looks at in a day.
_ANSWERS: Final = Remembered[tuple[str, ...], SetAnswer](most=200)


def answer_of(
    unit: Unit,
    department: str,
    revision: Revision,
    texts: Mapping[str, TextFound],
    substitutes: Mapping[str, TextFound],
) -> SetAnswer:
    """What comes of a set, as it is kept, in a department as it is kept.

    Args:
        unit: the transaction.
        department: its id.
        revision: the set.
        texts: the members' texts by what the set calls them.
        substitutes: the texts of what may stand in, by what the set calls them.
    """
    kept = unit.documents.get(DEPARTMENT, department)
    key = (
        revision.digest,
        kept.digest if kept else "",
        *_digests(texts),
        "substitutes",
        *_digests(substitutes),
    )

    def work_out() -> SetAnswer:
        return worked_out(
            from_revision(revision, SetDocument),
            _read(texts),
            from_revision(kept, Department) if kept else None,
            substitutes=_read(substitutes),
        )

    return _ANSWERS.get(key, work_out)


def worked_out(
    document: SetDocument,
    texts: Mapping[str, Instruction],
    site: Department | None,
    *,
    substitutes: Mapping[str, Instruction] | None = None,
    profile_name: str = "eu",
) -> SetAnswer:
    """What comes of a set.

    Args:
        document: the set.
        texts: the members' texts by what the set calls them; those that nobody has are left out.
        site: what the department has; without it there is no route.
        substitutes: the texts of what may stand in, by what the set calls them.
        profile_name: whose published limits are in force where no department says it.

    Raises:
        BadInput: if there is no such profile.
    """
    limits = profile_of(site) if site else profile(profile_name)
    contents = contents_of(document, texts)
    mass = mass_of(document, contents, texts, limits)
    members = tuple(one for one in document.members if one.called in texts)
    route = _route(document, members, texts, site, mass)
    found = list(check_set(document, texts, limits))
    if route is not None and site is not None and len(route.loads) == 1:
        found += _substitutes_outside(document, members, substitutes or {}, texts, site)
    return SetAnswer(
        contents=contents,
        mass=mass,
        findings=tuple(worst_first(found)),
        route=route,
        site=site,
        routed=tuple(one.called for one in members),
    )


def parts_of(document: SetDocument, answer: SetAnswer) -> tuple[tuple[str, ...], ...]:
    """The groups that a set must be split into; what no sterilizer sees stays with the first."""
    groups = [list(load.members) for load in answer.loads]
    placed = {called for group in groups for called in group}
    left = [member.called for member in document.members if member.called not in placed]
    return tuple(tuple(group) for group in [[*groups[0], *left], *groups[1:]])


def _route(
    document: SetDocument,
    members: tuple[Member, ...],
    texts: Mapping[str, Instruction],
    site: Department | None,
    mass: SetMass,
) -> SetRoute | None:
    if site is None or not members:
        return None
    weighed = document.mass
    if weighed is None and mass.kg is not None:
        weighed = Quantity(round(mass.kg, 3), "kg")
    known = document.model_copy(update={"members": members, "mass": weighed}).by_name()
    return route_set(known, texts, site)


def _substitutes_outside(
    document: SetDocument,
    members: tuple[Member, ...],
    substitutes: Mapping[str, Instruction],
    texts: Mapping[str, Instruction],
    site: Department,
) -> Iterator[Finding]:
    """What may stand in for a member but would leave the set without a common cycle."""
    for member in members:
        for one in member.substitutes:
            text = substitutes.get(one.instruction)
            if text is None:
                continue
            known = document.model_copy(update={"members": members, "mass": None}).by_name()
            found = route_set(known, {**texts, member.called: text}, site)
            if len(found.loads) > 1:
                evidence = {"device": member.called, "substitute": text.device.name}
                yield wordings.SUBSTITUTE_WITHOUT_CYCLE.finding(evidence=evidence)


def _read(texts: Mapping[str, TextFound]) -> dict[str, Instruction]:
    return {called: text for called, found in texts.items() if (text := found.instruction)}


def _digests(texts: Mapping[str, TextFound]) -> Iterator[str]:
    for called, found in texts.items():
        yield f"{called}={found.revision.digest if found.revision else ''}"
