"""Immediate use: the form without which nothing is processed for it; no other page leads a set here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from sinkside.desk.bench.load_list import quick_machines
from sinkside.desk.bench.store import EXCEPT
from sinkside.web.asked import Asked
from sinkside.web.screen import Option
from sinkside.web.screens.bench.load_shown import act_shown
from sinkside.web.screens.bench.place import PLACE, screen
from sinkside.web.screens.bench.shown import ActShown, FrameShown, frame

IMMEDIATE_USE: Final = f"{PLACE}/immediate-use"


@dataclass(frozen=True)
class QuickMachine:
    """A machine with programs for immediate use: its id and name, the programs, and the act of the form."""

    id: str
    name: str
    programs: tuple[Option, ...]
    act: ActShown


@dataclass(frozen=True)
class ImmediateUsePage:
    """The form for immediate use, for each machine that has such programs; often there is none."""

    title: str
    frame: FrameShown
    exceptions: str
    machines: tuple[QuickMachine, ...]


@screen.page(IMMEDIATE_USE, right=EXCEPT, template="bench_immediate_use.html")
def immediate_use_page(asked: Asked) -> ImmediateUsePage:
    """The form by which a set is processed for immediate use."""
    here = asked.at("/bench/immediate-use")
    return ImmediateUsePage(
        title="Exception: immediate use",
        frame=frame(asked, here=here),
        exceptions=asked.at("/bench/exceptions"),
        machines=tuple(
            QuickMachine(
                id=one.id,
                name=one.name,
                programs=tuple(Option(each.name, each.name) for each in one.programs),
                act=act_shown(
                    f"quick-{one.id}",
                    "Process it for immediate use",
                    {"act": "immediate-use", "machine": one.id},
                    leads=asked.at(f"/bench/machines/{one.id}"),
                ),
            )
            for one in quick_machines(asked.archive, asked.visitor)
        ),
    )
