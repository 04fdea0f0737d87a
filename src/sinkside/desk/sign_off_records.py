"""Sign-offs as the archive keeps them, and back; families by their names."""

from __future__ import annotations

from collections.abc import Collection
from typing import Final

from sinkside.desk import shelf
from sinkside.desk.departments import department_in
from sinkside.desk.ports import Unit
from sinkside.errors import NotThere
from sinkside.plain.names import calm_name
from sinkside.records import Standing
from sinkside.route import Station
from sinkside.teach.sign_offs import Level, Occasion, SignOff, State

#: Kinds of what shows that somebody can do it, in the order in which they come about.
EVIDENCE: Final = ("lesson", "questions", "observation")


def kept(department: str, one: SignOff) -> Standing:
    """A sign-off as it is kept: `state` and `due` sort it into what is to be done next."""
    reopened = one.reopened is not None
    independent = one.level is Level.independent
    return Standing(
        department=department,
        family=one.family,
        station=one.station.value,
        person=one.who,
        level=one.level.value,
        given=one.given,
        state=State.open_again.value if reopened else one.level.value,
        due=one.reopened if reopened else one.until if independent else one.given,
        until=one.until,
        reopened=one.reopened,
        fields={
            "evidence": "\n".join(one.evidence),
            "by": one.by,
            "occasion": one.occasion.value,
            "why": one.why,
            "changes": "\n".join(one.changes),
            "cause": one.cause,
        },
    )


def sign_off_of(standing: Standing) -> SignOff:
    """A sign-off as it was kept."""
    said = standing.fields
    return SignOff(
        who=standing.person,
        family=standing.family,
        station=Station(standing.station),
        level=Level(standing.level),
        given=standing.given,
        until=standing.until,
        evidence=_lines(said.get("evidence", "")),
        by=said.get("by", ""),
        occasion=Occasion(said.get("occasion") or Occasion.on_hire),
        why=said.get("why", ""),
        reopened=standing.reopened,
        changes=_lines(said.get("changes", "")),
        cause=said.get("cause", ""),
    )


def family_names(unit: Unit, department: str, families: Collection[str]) -> dict[str, str]:
    """What families are called: by the department, else by the device that stands for itself."""
    known = department_in(unit, department)
    names = {one.id: one.name for one in known.families} if known else {}
    alone = [family for family in families if family not in names]
    titles = unit.rows.titles(shelf.KIND, alone)
    return {
        family: names.get(family) or calm_name(titles.get(family, "")) or family for family in set(families)
    }


def known_family(unit: Unit, department: str, family: str) -> None:
    """Refuse a family that is none here: neither the department's, nor a device with an instruction.

    Raises:
        NotThere: if so.
    """
    known = department_in(unit, department)
    row = unit.rows.get(shelf.KIND, family)
    of_department = known is not None and any(one.id == family for one in known.families)
    if not of_department and (row is None or row.department != department):
        raise NotThere("there is no such device family here", resource=family)


def _lines(text: str) -> tuple[str, ...]:
    return tuple(line for line in text.split("\n") if line)
