"""The figures in force as a document that is handed on (`sinkside/limits-1`)."""

from __future__ import annotations

from typing import Literal

from sinkside.documents import Value
from sinkside.limits.limit import Limit, LimitKind, Relation
from sinkside.limits.profile import Profile
from sinkside.limits.steam import recognised_steam_temperatures
from sinkside.sources import Source


class SourceEntry(Value):
    """Where a figure comes from, and how it was read."""

    key: str
    title: str
    edition: str
    clause: str
    how_read: str
    trusted: bool


class OverrideEntry(Value):
    """What was published where a department has put its own figure in its place, and why."""

    published: float | tuple[float, float]
    reason: str


class LimitEntry(Value):
    """One figure in force; `value` is a pair of ends where the relation is "between"."""

    id: str
    topic: str
    kind: LimitKind
    quantity: str
    relation: Relation
    value: float | tuple[float, float]
    unit: str
    context: str
    jurisdiction: str
    note: str
    source: SourceEntry
    override: OverrideEntry | None = None


class SteamTemperatureEntry(Value):
    """A recognised steam temperature and the °F label that goes with it."""

    temperature_c: float
    source: SourceEntry
    label_f: float
    label_source: SourceEntry


class LimitsDocument(Value):
    """The published figures in force in a profile, and their sources."""

    format: Literal["sinkside/limits-1"] = "sinkside/limits-1"
    profile: str
    jurisdictions: tuple[str, ...]
    figures: tuple[LimitEntry, ...]
    recognised_steam_temperatures: tuple[SteamTemperatureEntry, ...]


def limits_document(profile: Profile) -> LimitsDocument:
    """Every figure in force in a profile, as a document.

    >>> from sinkside.limits import profile
    >>> limits_document(profile("eu")).jurisdictions
    ('eu', 'international')
    """
    return LimitsDocument(
        profile=profile.name,
        jurisdictions=profile.jurisdictions,
        figures=tuple(_entry(figure) for figure in profile.figures()),
        recognised_steam_temperatures=tuple(
            SteamTemperatureEntry(
                temperature_c=known.temperature_c,
                source=_source_entry(known.source),
                label_f=known.label_f,
                label_source=_source_entry(known.label_source),
            )
            for known in recognised_steam_temperatures()
        ),
    )


def _entry(figure: Limit) -> LimitEntry:
    override = figure.override
    return LimitEntry(
        id=figure.id,
        topic=figure.topic,
        kind=figure.kind,
        quantity=figure.quantity,
        relation=figure.relation,
        value=_as_printed(figure.value, figure.relation),
        unit=figure.unit,
        context=figure.context,
        jurisdiction=figure.jurisdiction,
        note=figure.note,
        source=_source_entry(figure.source),
        override=override
        and OverrideEntry(published=_as_printed(override.published, figure.relation), reason=override.reason),
    )


def _as_printed(ends: tuple[float, float], relation: Relation) -> float | tuple[float, float]:
    return ends if relation is Relation.between else ends[0]


def _source_entry(source: Source) -> SourceEntry:
    return SourceEntry(
        key=source.key,
        title=source.title,
        edition=source.edition,
        clause=source.clause,
        how_read=source.how_read,
        trusted=source.trusted,
    )
