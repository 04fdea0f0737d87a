"""Who on the shift now can do a tray: station by station, names first, gaps named."""

from __future__ import annotations

from dataclasses import dataclass

from sinkside.desk import sets
from sinkside.desk.sign_off_lists import StationTonight, TrayTonight, tray_tonight
from sinkside.plain.operations import station_label
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import Option
from sinkside.web.screens.sign_offs.shelf import PLACE, READ, Text, screen

_MOST_SETS = 500
_NAMES_SHOWN = 12


@dataclass(frozen=True)
class PartAble:
    """Somebody who may do part of it: their page and name, and the families that they lack."""

    address: str
    name: str
    lacks: str


@dataclass(frozen=True)
class StationNow:
    """One station: a sentence, who may do all of it alone, who part of it, and how many more there are."""

    station: str
    says: str
    is_covered: bool
    able: tuple[Option, ...]
    more: int
    part: tuple[PartAble, ...]


@dataclass(frozen=True)
class TrayNowPage:
    """A set, and who on now can do it; before one is chosen, the sets to choose from."""

    title: str
    address: str
    list: str
    chosen: str
    sets: tuple[Option, ...]
    name: str
    shifts: str
    on: int
    says: str
    stations: tuple[StationNow, ...]
    unknown: tuple[str, ...]


@screen.page(f"{PLACE}/tray", right=READ, template="sign_off_tray.html")
def tray(asked: Asked, *, of: Text = "") -> TrayNowPage:
    """Who on the shift now can do a tray."""
    rows = sets.list_sets(asked.archive, asked.visitor, states=[sets.IN_USE], limit=_MOST_SETS)
    known = tray_tonight(asked.archive, asked.visitor, of, now=asked.now) if of else None
    return TrayNowPage(
        title="Who on now can do a tray",
        address=asked.at("/sign-offs/tray"),
        list=asked.at("/sign-offs"),
        chosen=of,
        sets=tuple(sorted((Option(row.id, row.title) for row in rows), key=lambda one: one.words)),
        name=known.name if known else "",
        shifts=_shifts(known, shown_moment(asked.now, asked.visitor.zone)) if known else "",
        on=known.on if known else 0,
        says=_says(known) if known else "",
        stations=tuple(_station(asked, known, one) for one in known.stations) if known else (),
        unknown=known.unknown if known else (),
    )


def _shifts(known: TrayTonight, clock: str) -> str:
    names = ", ".join(f"{one.name} ({one.begins}–{one.ends})" for one in known.shifts)
    return f"{clock}: {names or 'no shift is on'}"


def _says(known: TrayTonight) -> str:
    gaps = [station_label(one.station).lower() for one in known.stations if not one.able]
    if not known.stations:
        return "None of its devices has a text that says where it is worked on."
    if not gaps:
        return "Every station has somebody who may do all of it alone."
    return f"For the whole tray nobody on now may work alone at: {', '.join(gaps)}."


def _station(asked: Asked, known: TrayTonight, one: StationTonight) -> StationNow:
    able = sorted(one.able, key=lambda person: known.names[person].casefold())
    part = sorted(one.part, key=lambda person: (len(one.part[person]), known.names[person].casefold()))
    nobody = ", ".join(known.families[family] for family in one.nobody)
    says = f"Nobody on now is signed off for {nobody}." if nobody else ""
    if not says and not able:
        says = "Nobody on now may do all of it; between them they may."
    return StationNow(
        station=station_label(one.station),
        says=says,
        is_covered=bool(able),
        able=tuple(_opened(asked, known, person) for person in able[:_NAMES_SHOWN]),
        more=max(0, len(able) - _NAMES_SHOWN),
        part=tuple(
            PartAble(
                address=_opened(asked, known, person).id,
                name=known.names[person],
                lacks=", ".join(known.families[family] for family in one.part[person]),
            )
            for person in part[:_NAMES_SHOWN]
        )
        if not able
        else (),
    )


def _opened(asked: Asked, known: TrayTonight, person: str) -> Option:
    return Option(asked.at(f"/sign-offs/people/{person}"), known.names[person])
