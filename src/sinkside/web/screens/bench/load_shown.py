"""What pages of loads show of a load and of what lies in it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from sinkside.bench.loads import LoadState
from sinkside.desk.bench.load_list import Lying
from sinkside.records import KeptLoad
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screens.bench.shown import ActShown, new_key

#: Each state in words, with the mark that it is shown with.
STATE_WORDS: Final[Mapping[str, tuple[str, str]]] = {
    LoadState.building: ("Being built", "note"),
    LoadState.running: ("In the machine", "note"),
    LoadState.over: ("Waits for a decision", "concern"),
    LoadState.released: ("Released", "met"),
    LoadState.held: ("Held", "stop"),
}


@dataclass(frozen=True)
class LoadLine:
    """A load in a list: its page, machine, program, how many pieces, how it stands, since when, what else."""

    address: str
    machine: str
    program: str
    pieces: str
    state: str
    words: str
    mark: str
    at: str
    also: tuple[str, ...]


@dataclass(frozen=True)
class PieceLine:
    """A piece of a load: name and code, where it is now, what of it went in, whether it went on since.

    `take_out` takes it out again; none once the load began.
    """

    name: str
    code: str
    where: str
    members: str
    went_on: bool
    take_out: ActShown | None


def load_line(asked: Asked, load: KeptLoad) -> LoadLine:
    """A load in a list."""
    words, mark = STATE_WORDS[load.state]
    told = load.fields
    also = [
        *([f"implant: {told['implant']}"] if told.get("implant") else []),
        *(["no trace"] if told.get("no_trace") else []),
        *(["wet pack"] if told.get("wet") else []),
        *(["broke off"] if told.get("complete") is False else []),
        *([f"immediate use, case {told['case']}"] if told.get("exception") else []),
    ]
    return LoadLine(
        address=asked.at(f"/bench/loads/{load.id}"),
        machine=str(told["machine_name"]),
        program=load.program,
        pieces=counted(int(told.get("pieces") or 0)),
        state=load.state,
        words=words,
        mark=mark,
        at=shown_moment(load.started or load.opened, asked.visitor.zone),
        also=tuple(also),
    )


def piece_lines(pieces: Iterable[Lying], *, load: KeptLoad, under_way: bool) -> tuple[PieceLine, ...]:
    """What lies in a load, as lines."""
    return tuple(
        PieceLine(
            name=one.inside.copy.name,
            code=one.inside.copy.code,
            where=one.inside.copy.place,
            members=", ".join(one.inside.members),
            went_on=not one.is_here,
            take_out=act_shown(
                f"out-{one.inside.copy.code}",
                "Take out",
                {"act": "take-out-of-load", "machine": load.machine, "code": one.inside.copy.code},
                style="second",
            )
            if under_way
            else None,
        )
        for one in pieces
    )


def act_shown(
    name: str, words: str, act: Mapping[str, Any], *, style: str = "", command: str = "", leads: str = ""
) -> ActShown:
    """An act as a form of a page of loads."""
    return ActShown(
        id=name,
        words=words,
        told=words,
        act=json.dumps(act),
        key=new_key(),
        style=style,
        command=command,
        leads=leads,
    )


def counted(pieces: int) -> str:
    """How many pieces, in words.

    >>> counted(1), counted(3)
    ('1 piece', '3 pieces')
    """
    return "1 piece" if pieces == 1 else f"{pieces} pieces"
