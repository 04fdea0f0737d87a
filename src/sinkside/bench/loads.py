"""What may go together into one load of a machine, looked at whenever a piece is added."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from sinkside.bench.load_fit import Chosen, Goes
from sinkside.department import Department, MachineKind
from sinkside.route.gas_cycles import lumens_outside


class LoadState(StrEnum):
    """How a load stands: built, in the machine, over and undecided, and what a person decided."""

    building = "building"
    running = "running"
    over = "over"
    released = "released"
    held = "held"


_WASHERS: Final = frozenset({MachineKind.washer_disinfector})
_SOILED: Final = frozenset({"soiled", "at-sink", "in-washer"})
_BEFORE_PACKING: Final = frozenset({"clean-side", "packing"})

_KIND_WORDS: Final[Mapping[MachineKind, str]] = {
    kind: kind.value.replace("-", " ") for kind in MachineKind
} | {MachineKind.washer_disinfector: "washer-disinfector"}


@dataclass(frozen=True)
class Piece:
    """A set, or a marked instrument, on its way into a load.

    Attributes:
        copy: its id.
        name: what people call it.
        state: where it stands.
        goes: what of it goes into the load's program.
        mass_kg: what it weighs; none where nobody knows.
    """

    copy: str
    name: str
    state: str
    goes: Goes
    mass_kg: float | None = None


@dataclass(frozen=True)
class Objection:
    """Why a piece may not go into a load, and what would do.

    `is_wrong` says that it goes into no load of this program, however little lies in that: who brought it
    went wrong.
    """

    why: str
    instead: str
    is_wrong: bool = False

    @property
    def sentence(self) -> str:
        """Both together."""
        return f"{self.why} {self.instead}".strip()


@dataclass(frozen=True)
class Sum:
    """What a load comes to: pieces, connected lumens, lumens to be reached, known mass, unknown ones."""

    pieces: int
    connections: int
    lumens: int
    mass_kg: float
    unweighed: tuple[str, ...]


def sum_of(pieces: Sequence[Piece]) -> Sum:
    """What some pieces come to.

    >>> sum_of([Piece("c-1", "Tray", "packed", Goes(lumens=2), 4.5), Piece("c-2", "Cup", "packed", Goes())])
    Sum(pieces=2, connections=0, lumens=2, mass_kg=4.5, unweighed=('Cup',))
    """
    return Sum(
        pieces=len(pieces),
        connections=sum(one.goes.connections for one in pieces),
        lumens=sum(one.goes.lumens for one in pieces),
        mass_kg=sum(one.mass_kg or 0.0 for one in pieces),
        unweighed=tuple(one.name for one in pieces if one.mass_kg is None),
    )


def objections(
    chosen: Chosen, loaded: Sequence[Piece], new: Piece, department: Department
) -> tuple[Objection, ...]:
    """Everything that keeps a piece out of a load, the gravest first; none where it may go in.

    Args:
        chosen: the load's machine, program and rack.
        loaded: what is in it.
        new: what is to be added.
        department: what the site has, for what would do instead.
    """
    wrong = (*_of_place(chosen, new), *_of_use(chosen), *_of_texts(chosen, new, department))
    return (
        *(replace(one, is_wrong=True) for one in wrong),
        *_of_connections(chosen, loaded, new),
        *_of_lumens(chosen, loaded, new),
        *_of_mass(chosen, loaded, new),
    )


def _of_place(chosen: Chosen, new: Piece) -> Iterator[Objection]:
    """Zones: what is soiled never enters a sterilizer, what is clean never goes back among soiled things."""
    if chosen.machine.kind in _WASHERS:
        yield from _of_the_soiled_side(new)
    elif new.state in _SOILED:
        yield Objection(
            f"{new.name} is soiled and never goes into a sterilizer.", "Clean and disinfect it first."
        )
    elif new.state in _BEFORE_PACKING:
        yield Objection(f"{new.name} is not packed.", "Inspect, count and pack it first.")
    elif new.state != "packed":
        yield Objection(
            f"{new.name} is '{new.state}'.", "A sterilizer takes what was packed and nothing else."
        )


def _of_the_soiled_side(new: Piece) -> Iterator[Objection]:
    """A set whose devices go apart may be in one washer while its other part goes into the next."""
    if new.state == "soiled":
        yield Objection(f"{new.name} was not taken up at the sink.", "Scan it there first.")
    elif new.state not in _SOILED:
        yield Objection(
            f"{new.name} is '{new.state}' and does not go back among soiled things.",
            "If soil was found on it, send it back to the sink as a whole.",
        )


def _of_use(chosen: Chosen) -> Iterator[Objection]:
    if chosen.program.use == "immediate-use":
        yield Objection(
            f"{chosen.program.name} is for immediate use and takes no ordinary load.",
            "Immediate use has a form of its own, with authority, reason and case number.",
        )


def _of_texts(chosen: Chosen, new: Piece, department: Department) -> Iterator[Objection]:
    goes = new.goes
    if goes.refused:
        first = goes.refused[0]
        others = len(goes.refused) - 1
        more = f" ({others} more of it not either)" if others else ""
        why = f"{new.name} does not go into {chosen.words}: {first.member}{more}, because {first.why}."
        yield Objection(why, _instead(chosen, goes, department))
    elif not goes.members:
        yield Objection(
            f"Nothing of {new.name} goes into a {_KIND_WORDS[chosen.machine.kind]} by its texts.",
            "Follow its route.",
        )


def _instead(chosen: Chosen, goes: Goes, department: Department) -> str:
    names = {one.id: one.name for one in department.machines}
    able = [f"{names.get(machine, machine)}, {program}" for machine, program in goes.instead]
    if able:
        out = "" if goes.members == () or chosen.machine.kind not in _WASHERS else " those members of it"
        return f"What would do for{out or ' it'}: {'; '.join(able)}."
    return "No program here would do for it; no cycle stands in for another."


def _of_connections(chosen: Chosen, loaded: Sequence[Piece], new: Piece) -> Iterator[Objection]:
    wanted = new.goes.connections
    if not wanted:
        return
    if chosen.rack is None:
        yield Objection(
            f"{new.name} has {_lumens(wanted)} to connect, and no rack was chosen.",
            _racks(chosen, wanted),
        )
        return
    most, taken = chosen.rack.lumen_connections, sum_of(loaded).connections
    if taken + wanted > most:
        yield Objection(
            f"{new.name} has {_lumens(wanted)} to connect; {chosen.rack.name} has {most - taken} of {most} "
            "connections left.",
            _racks(chosen, wanted) if wanted > most else "Put it into the next load.",
        )


def _racks(chosen: Chosen, wanted: int) -> str:
    able = [one.name for one in chosen.machine.racks if one.lumen_connections >= wanted]
    return f"What would do: {' or '.join(able)}." if able else "No rack of this machine connects so many."


def _lumens(number: int) -> str:
    return "1 lumen" if number == 1 else f"{number} lumens"


def _of_lumens(chosen: Chosen, loaded: Sequence[Piece], new: Piece) -> Iterator[Objection]:
    """A program's claims count every lumen of a load, whosever it is."""
    count = sum_of([*loaded, new]).lumens
    needs = [need for piece in (*loaded, new) for need in piece.goes.needs]
    beyond = next((one for need in needs for one in lumens_outside(need, chosen.program, count=count)), None)
    if beyond is not None and new.goes.lumens:
        yield Objection(
            f"With {new.name} the load has {_lumens(count)}; beside {beyond.lumen.words.text()} "
            f"{chosen.program.name} takes {beyond.nearest.lumens}.",
            "Put it into the next load.",
        )


def _of_mass(chosen: Chosen, loaded: Sequence[Piece], new: Piece) -> Iterator[Objection]:
    most = chosen.program.chamber.load if chosen.program.chamber else None
    total = sum_of([*loaded, new]).mass_kg
    if most is not None and total > most.to("kg"):
        yield Objection(
            f"With {new.name} the load weighs {total:.1f} kg; {chosen.program.name} takes {most}.",
            "Put it into the next load.",
        )
