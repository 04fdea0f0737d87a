"""What of a set goes into one program of one machine by its texts, and why the rest does not.

Nothing is judged here that the route does not judge: each text's own needs are held against that one program,
so that a set never enters a cycle that one of its texts does not name.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from sinkside.department import Department, Machine, MachineKind, Packaging, Program, Rack, Station
from sinkside.instruction import Instruction
from sinkside.route.candidates import Board, Cycle, program_of
from sinkside.route.conflicts import barred
from sinkside.route.needs import Choice, GasNeed, Need, SteamNeed, WasherNeed
from sinkside.route.packing import named_cycle, why_not
from sinkside.route.requirements import requirements_of
from sinkside.route.sharing import STATIONS
from sinkside.sets import SetDocument

#: The station of each kind of machine that takes loads; baths and cabinets are worked by hand.
STATION_OF: Final[Mapping[MachineKind, Station]] = {
    MachineKind.washer_disinfector: Station.washer,
    MachineKind.steam_sterilizer: Station.sterilizer,
    MachineKind.gas_sterilizer: Station.sterilizer,
}


@dataclass(frozen=True)
class Chosen:
    """A machine with the program and the rack that were chosen for a load."""

    machine: Machine
    program: Program
    rack: Rack | None = None

    @property
    def station(self) -> Station:
        """The station of the route at which the machine stands."""
        return STATION_OF[self.machine.kind]

    @property
    def cycle(self) -> Cycle:
        """The machine's id and the program's name."""
        return self.machine.id, self.program.name

    @property
    def words(self) -> str:
        """Machine and program, for people."""
        return f"{self.machine.name}, {self.program.name}"


@dataclass(frozen=True)
class NotIn:
    """A member that does not bear the program: why, and the programs here that its text names."""

    member: str
    why: str
    instead: frozenset[Cycle]


@dataclass(frozen=True)
class Goes:
    """What of a set goes into a program.

    Attributes:
        members: what goes in.
        elsewhere: members whose texts send them into no such machine.
        refused: members that such a machine takes, but not by this program.
        connections: lumens to be connected, all members together.
        lumens: lumens that a low-temperature cycle must reach, all members together.
        needs: the cycles of gas or vapour that its texts name.
    """

    members: tuple[str, ...] = ()
    elsewhere: tuple[str, ...] = ()
    refused: tuple[NotIn, ...] = ()
    connections: int = 0
    lumens: int = 0
    needs: tuple[GasNeed, ...] = ()

    def without(self, members: Sequence[str]) -> Goes:
        """The same where some members that do not bear it were taken out before."""
        return replace(self, refused=tuple(one for one in self.refused if one.member not in members))

    @property
    def instead(self) -> tuple[Cycle, ...]:
        """The programs that every refused member bears, in order."""
        common = [one.instead for one in self.refused]
        return tuple(sorted(frozenset.intersection(*common))) if common else ()


def chosen_in(department: Department, machine: str, program: str, rack: str = "") -> Chosen | None:
    """The machine, program and rack of a department by their ids; none if one of them is unknown there."""
    for one in department.machines:
        known = next((each for each in one.programs if each.name == program), None)
        if one.id != machine or known is None or one.kind not in STATION_OF:
            continue
        of_rack = next((each for each in one.racks if each.id == rack), None)
        return None if rack and of_rack is None else Chosen(one, known, of_rack)
    return None


def goes_into(
    document: SetDocument, texts: Mapping[str, Instruction], department: Department, chosen: Chosen
) -> Goes:
    """What of a set goes into the program of a load.

    Args:
        document: the set.
        texts: its members' texts by what the set calls them.
        department: what the site has.
        chosen: the machine and its program.

    Raises:
        BadQuantity: if a figure carries a unit that measures something else than it should.
    """
    board = Board(department)
    pack = next((one for one in department.packaging if one.id == document.packaging), None)
    found = Goes()
    for member in document.members:
        text = texts.get(member.called)
        if text is None:
            unread = NotIn(member.called, f"no text says what {member.called} bears", frozenset())
            found = replace(found, refused=(*found.refused, unread))
            continue
        needs = _needs_at(requirements_of(text), chosen.machine.kind)
        if not needs:
            found = replace(found, elsewhere=(*found.elsewhere, member.called))
            continue
        served = next((one for one in needs if not _faults(one, board, chosen, pack)), None)
        if served is None:
            refused = _refused(member.called, needs, board, chosen, pack)
            found = replace(found, refused=(*found.refused, refused))
        else:
            found = _with_member(found, member.called, served, member.count)
    return found


def not_for_immediate_use(
    document: SetDocument, texts: Mapping[str, Instruction], department: Department, chosen: Chosen
) -> tuple[NotIn, ...]:
    """The members of a set whose texts do not name this very cycle for immediate use; none where all do.

    Raises:
        BadQuantity: if a figure carries a unit that measures something else than it should.
    """
    board = Board(department)
    found = []
    for member in document.members:
        text = texts.get(member.called)
        needs = _needs_at(requirements_of(text), chosen.machine.kind) if text else ()
        named = [one for one in needs if isinstance(one, SteamNeed) and one.immediate_use]
        able = (program_of(one) for need in named for one in board.appraisal(need).candidates)
        if chosen.cycle not in able:
            why = "its text names no such cycle for immediate use"
            found.append(NotIn(member.called, why, frozenset()))
    return tuple(found)


def _with_member(found: Goes, called: str, served: Need, count: int) -> Goes:
    connections = served.connections * count if isinstance(served, WasherNeed) else 0
    gas = (served,) if isinstance(served, GasNeed) else ()
    return replace(
        found,
        members=(*found.members, called),
        connections=found.connections + connections,
        lumens=found.lumens + sum(len(one.lumens) for one in gas) * count,
        needs=(*found.needs, *gas),
    )


def _needs_at(choices: Sequence[Choice], kind: MachineKind) -> tuple[Need, ...]:
    """What a text asks of machines at the station of a kind of machine, way by way."""
    return tuple(
        need
        for choice in choices
        for option in choice.options
        for task in option
        for need in task.needs
        if STATIONS.get(type(need)) is STATION_OF[kind]
    )


def _faults(need: Need, board: Board, chosen: Chosen, pack: Packaging | None) -> tuple[str, ...]:
    """Why a program does not serve a need, in a sentence each; none where it does."""
    stopped = barred(need)
    if stopped is not None:
        return (stopped.message,)
    appraisal = board.appraisal(need)
    if any(program_of(one) == chosen.cycle for one in appraisal.candidates):
        return tuple(_faults_of_pack(need, pack))
    own = f"{chosen.machine.id}/{chosen.program.name}"
    told = tuple(
        words.text() for refusal in appraisal.refusals if refusal.id == own for words in refusal.faults
    )
    return told or ("this program is not what its text names",)


def _faults_of_pack(need: Need, pack: Packaging | None) -> Iterator[str]:
    cycle = named_cycle(need)
    if cycle is None or pack is None:
        return
    fault = why_not(pack, cycle)
    if fault is not None:
        yield f"it lies in {pack.name}, and {fault.text()}"


def _refused(
    called: str, needs: Sequence[Need], board: Board, chosen: Chosen, pack: Packaging | None
) -> NotIn:
    """Why a member does not bear a program: by the way of its text that comes nearest to it."""
    nearest = min(needs, key=lambda one: len(_faults(one, board, chosen, pack)))
    faults = _faults(nearest, board, chosen, pack)
    able = (cycle for need in needs for cycle in _able(need, board, pack))
    asked = f"its text asks for: {nearest.wanted.text()}"
    return NotIn(called, ", and ".join([*faults, asked]), frozenset(able))


def _able(need: Need, board: Board, pack: Packaging | None) -> Iterator[Cycle]:
    """Every program of the department that serves a need and that the packaging bears."""
    if barred(need) is not None or any(_faults_of_pack(need, pack)):
        return
    for one in board.appraisal(need).candidates:
        cycle = program_of(one)
        if cycle is not None:
            yield cycle
