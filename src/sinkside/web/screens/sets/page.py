"""One set: its contents first, the common route or the split, what is wrong with it, what changed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query

from sinkside.aids.report.finding_view import finding_views
from sinkside.desk import sets
from sinkside.desk.people import names_of
from sinkside.desk.set_editing import SetFields
from sinkside.desk.sets import SeenSet
from sinkside.language import computed
from sinkside.sets import SetDocument, SetMass
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Option
from sinkside.web.screens.sets.common_route import NO_COMMON_CYCLE, RouteShown, route_shown
from sinkside.web.screens.sets.contents import (
    ApartShown,
    DeviceShown,
    SingleUseShown,
    StandInShown,
    apart_shown,
    devices_shown,
    single_use_shown,
    stand_ins_shown,
)
from sinkside.web.screens.sets.moisture import WetShown, wet_shown
from sinkside.web.screens.sets.shelf import PLACE, READ, packaging_options, screen
from sinkside.web.screens.sets.tray import TrayShown, tray_shown

Number = Annotated[int | None, Query(ge=1, le=1_000_000)]

_LATEST_SHOWN: Final = 12


@dataclass(frozen=True)
class MassShown:
    """What the set weighs: figure and unit, how that is known, the limit in force and who publishes it.

    `figure` is empty where the mass is not known; `sums` are what it comes from.
    """

    figure: str
    unit: str
    how: str
    limit: str
    source: str
    sums: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class SetFindingShown:
    """What is wrong: level, sentence, what would put it right, its arithmetic, its source."""

    level: str
    message: str
    remedy: str
    sums: tuple[tuple[str, str], ...]
    source: str


@dataclass(frozen=True)
class ChangedShown:
    """A device whose text changed since somebody looked: what happened, and where the change is shown."""

    device: str
    words: str
    address: str


@dataclass(frozen=True)
class RevisionLine:
    """One revision: number, when, by whom, why; where it is shown, and where its changes are."""

    number: int
    at: str
    by: str
    why: str
    address: str
    changes: str


@dataclass(frozen=True)
class SetPage:
    """One set.

    Attributes:
        title: its name.
        address: of the page.
        sets: where the list is.
        made: the revision that is shown, when and by whom it was made, and why.
        papers: where its papers are.
        revision: its number, which forms carry.
        latest: whether it is the latest one.
        in_use: whether the set can still be changed.
        ended: why it is used no longer; empty while it is.
        parts: the sets that it was split into.
        devices: how many devices.
        pieces: how many pieces.
        packaging: what it lies in.
        tray: what lies in the tray, in the order of use.
        apart: what must not lie together.
        stand_ins: what may stand in for which device.
        single_use: the kinds of single use among its parts.
        mass: what it weighs.
        wet: what of it stays wet.
        tray_map: how it lies in its tray.
        route: the common route or the split.
        findings: what is wrong with it, the worst first, save that it must be split.
        stops: how many stops there are, that it must be split among them.
        concerns: how many concerns.
        changed: the devices whose text changed since somebody looked.
        since: what changed since the revision before.
        history: the revisions, the latest first.
        fields: what the form of the set as a whole shows.
        packaging_options: what it may lie in.
    """

    title: str
    address: str
    sets: str
    made: str
    papers: str
    revision: int
    latest: bool
    in_use: bool
    ended: str
    parts: tuple[Option, ...]
    devices: int
    pieces: int
    packaging: str
    tray: tuple[DeviceShown, ...]
    apart: tuple[ApartShown, ...]
    stand_ins: tuple[StandInShown, ...]
    single_use: tuple[SingleUseShown, ...]
    mass: MassShown
    wet: WetShown
    tray_map: TrayShown
    route: RouteShown
    findings: tuple[SetFindingShown, ...]
    stops: int
    concerns: int
    changed: tuple[ChangedShown, ...]
    since: tuple[str, ...]
    history: tuple[RevisionLine, ...]
    fields: SetFields
    packaging_options: tuple[Option, ...]


@screen.page(f"{PLACE}/{{key}}", right=READ, template="set.html")
def set_page(asked: Asked, key: str, *, revision: Number = None) -> SetPage:
    """One set with its contents, its route, what is wrong with it and what changed."""
    seen = sets.see_set(asked.archive, asked.visitor, key, now=asked.now, number=revision)
    opened, document, answer = seen.opened, seen.opened.document, seen.answer
    address = asked.at(f"/sets/{key}")
    history = _history(asked, seen, address)
    levels = [one.level.value for one in seen.findings]
    packaging = packaging_options(asked)
    wet = wet_shown(asked, key, opened)
    return SetPage(
        title=document.name,
        address=address,
        sets=asked.at("/sets"),
        made=_made(history, opened.revision.number),
        papers=asked.at(f"/papers/sets/{opened.row.id}"),
        revision=opened.revision.number,
        latest=opened.latest,
        in_use=opened.row.state == sets.IN_USE,
        ended=_ended(seen),
        parts=_parts(asked, seen),
        devices=sum(member.count for member in document.members),
        pieces=document.counted,
        packaging=next((words for one, words in packaging if one and one == document.packaging), ""),
        tray=devices_shown(asked, seen),
        apart=apart_shown(document),
        stand_ins=stand_ins_shown(seen),
        single_use=single_use_shown(answer.contents),
        mass=mass_shown(answer.mass, document, said_kg=wet.kg),
        wet=wet,
        tray_map=tray_shown(asked, key),
        route=route_shown(asked, seen),
        findings=_findings(seen),
        stops=levels.count("stop"),
        concerns=levels.count("concern"),
        changed=_changed(asked, seen),
        since=tuple(one.sentence for one in seen.since),
        history=history,
        fields=_fields(document),
        packaging_options=packaging,
    )


def mass_shown(mass: SetMass, document: SetDocument, *, said_kg: float | None = None) -> MassShown:
    """What a set weighs, as its page shows it.

    Args:
        mass: what its list and its texts know.
        document: the set.
        said_kg: what it comes to with everything that is said of its things, where that is known.
    """
    limit = mass.limit
    figure, _, unit = computed(mass.kg, "kg").replace("\xa0", " ").partition(" ") if mass.kg else ("", "", "")
    how = "weighed" if mass.weighed_kg is not None else "summed up, with the packaging"
    known = {
        "Weighed": str(document.mass or ""),
        "Sum of what is known": computed(mass.summed_kg, "kg"),
        "Of which the packaging": str(document.packaging_mass or ""),
        "No mass known of": ", ".join(mass.unknown),
        "By what was said of its things": computed(said_kg, "kg") if mass.kg is None and said_kg else "",
    }
    source = ""
    if limit is not None:
        source = f"{limit.source}: {limit.source.how_read_phrase}"
    return MassShown(
        figure=figure,
        unit=unit,
        how=how if mass.kg is not None else "not known",
        limit=limit_words(mass),
        source=f"{limit.context} {source}." if limit else "",
        sums=tuple((name, text) for name, text in known.items() if text),
    )


def limit_words(mass: SetMass) -> str:
    """The limit in force, in words."""
    if mass.limit is None:
        return "No limit is published in the profile that this department works to."
    most = computed(mass.limit.ends("kg")[1], "kg")
    if mass.limit.override is not None:
        return f"At most {most}: this department's own limit. {mass.limit.override.reason}"
    return f"At most {most} with its packaging."


def _findings(seen: SeenSet) -> tuple[SetFindingShown, ...]:
    return tuple(
        SetFindingShown(
            level=view.level,
            message=view.message,
            remedy=view.remedy,
            sums=tuple((name, value) for name, value, _ in view.evidence),
            source=view.source,
        )
        for view in finding_views(one for one in seen.findings if one.rule != NO_COMMON_CYCLE)
    )


def _changed(asked: Asked, seen: SeenSet) -> tuple[ChangedShown, ...]:
    found = []
    for one in seen.changed:
        address = asked.at(f"/instructions/{one.row.id}")
        words = f"revision {one.after} was approved" if not one.before else ""
        words = words or f"revision {one.before} gave way to revision {one.after}"
        compare = f"{address}/compare?before={one.before}&after={one.after}"
        called = seen.names.get(one.row.id, one.row.title)
        found.append(ChangedShown(called, words, compare if one.before else address))
    return tuple(found)


def _history(asked: Asked, seen: SeenSet, address: str) -> tuple[RevisionLine, ...]:
    makings = seen.opened.history[-_LATEST_SHOWN:]
    number = seen.opened.revision.number
    if number not in {one.number for one in makings}:
        makings = (*(one for one in seen.opened.history if one.number == number), *makings)
    names = names_of(asked.archive, {one.by for one in makings})
    return tuple(
        RevisionLine(
            number=one.number,
            at=shown_moment(one.at, asked.visitor.zone),
            by=names[one.by],
            why=one.note,
            address=f"{address}?revision={one.number}",
            changes=f"{address}/changes?after={one.number}",
        )
        for one in reversed(makings)
    )


def _made(history: Iterable[RevisionLine], number: int) -> str:
    one = next(line for line in history if line.number == number)
    return " · ".join(filter(None, (f"Revision {one.number}", one.at, one.by, one.why)))


def _ended(seen: SeenSet) -> str:
    if seen.opened.row.state == sets.OUT_OF_USE:
        return f"Out of use: {str(seen.opened.row.fields['why']).rstrip('.')}."
    return "Split into sets of its own." if seen.opened.row.state == sets.SPLIT else ""


def _parts(asked: Asked, seen: SeenSet) -> tuple[Option, ...]:
    keys = str(seen.opened.row.fields.get("parts") or "").split()
    if not keys:
        return ()
    with asked.archive.unit(writes=False) as unit:
        titles = unit.rows.titles(sets.KIND, keys)
    return tuple(Option(asked.at(f"/sets/{key}"), titles[key]) for key in keys if key in titles)


def _fields(document: SetDocument) -> SetFields:
    return SetFields(
        name=document.name,
        packaging=document.packaging or "",
        packaging_mass=str(document.packaging_mass or ""),
        mass=str(document.mass or ""),
        pieces=str(document.pieces or ""),
    )
