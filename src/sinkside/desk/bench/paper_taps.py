"""Lines of the paper pack as taps: what of a line is still to be done, by where its set stands now."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Final

from sinkside.bench.outage import PaperLine, PaperLoad, SheetKind
from sinkside.bench.run import Place
from sinkside.bench.tap import Tap, Tapped
from sinkside.department import Station
from sinkside.desk.access import Visitor
from sinkside.desk.bench.runs import OpenRun, copy_of_code, run_of
from sinkside.desk.bench.tapping import tap
from sinkside.desk.ports import Archive
from sinkside.errors import BadInput, NotThere

Act = dict[str, Any]

_BEFORE_THE_BENCH: Final = (Place.at_sink, Place.in_washer)


@dataclass(frozen=True)
class Entering:
    """Entering what stands on the paper of one outage."""

    archive: Archive
    who: Visitor
    outage: str
    now: datetime

    def do(self, line: str, tries: int, act: Act, at: datetime) -> Tapped:
        """One act of a line; the same try of the same line gives the same answer again."""
        key = f"paper-{self.outage}-{line}-{act['act']}-{act.get('station', '')}-{tries}"
        one = Tap.model_validate({"key": key, "at": at, "entered": True, "act": act})
        return tap(self.archive, self.who, [one], now=self.now)[0]

    def line(self, line: PaperLine) -> PaperLine:
        """A line after what it tells was entered: done, or refused with the first reason."""
        said = ""
        for act in self._acts(line):
            tapped = self.do(line.line, line.tries, act, line.at)
            if tapped.outcome == "refused":
                return refused(line, tapped.said)
            said = tapped.said
        change = {"outcome": "done", "said": said or "It stands so already."}
        return line.model_copy(update=change)

    def into_load(self, line: PaperLine, load: PaperLoad) -> PaperLine:
        """A line of a load after its set was put in: what is to be done before at the sink comes first."""
        for act in self._before_load(line, load):
            at = load.at if act["act"] in {"finish-station", "add-to-load"} else line.at
            tapped = self.do(line.line, line.tries, act, at)
            if tapped.outcome == "refused":
                return refused(line, tapped.said)
        return line.model_copy(update={"outcome": "done", "said": f"In the load of sheet {load.sheet}."})

    def _acts(self, line: PaperLine) -> Iterator[Act]:
        code = {"code": line.code}
        if line.kind is SheetKind.arrival:
            yield {"act": "arrive", **code}
        elif line.kind is SheetKind.packing:
            yield from _to_a_pack(self._opened(line.code), code)
        else:
            opened = self._opened(line.code)
            if opened is not None and opened.run.place is Place.sterilized:
                yield {"act": "put-in-store", **code}
            yield {"act": "issue", **code, "case": line.case, "whole": True}

    def _before_load(self, line: PaperLine, load: PaperLoad) -> Iterator[Act]:
        code = {"code": line.code}
        opened = self._opened(line.code)
        if load.kind is SheetKind.wash_load and opened is not None:
            if opened.run.place is Place.soiled:
                yield {"act": "take-up", **code}
            for station in (Station.sink, Station.ultrasonic):
                yield from _all_at(opened, station, code)
        yield {"act": "add-to-load", "machine": load.machine, **code}

    def _opened(self, code: str) -> OpenRun | None:
        """The run that a set is on; none where there is none, and the tap will say so."""
        with self.archive.unit(writes=False) as unit:
            try:
                return run_of(unit, copy_of_code(unit, self.who.department, code))
            except (BadInput, NotThere):
                return None


def refused(line: PaperLine, said: str) -> PaperLine:
    """A line that was refused, with the reason; its next try is another one."""
    return line.model_copy(update={"outcome": "refused", "said": said, "tries": line.tries + 1})


def _to_a_pack(opened: OpenRun | None, code: Act) -> Iterator[Act]:
    """From wherever the set stands to a closed pack."""
    place = opened.run.place if opened else Place.at_sink
    if place in _BEFORE_THE_BENCH:
        yield {"act": "to-clean-side", **code}
    if place in {*_BEFORE_THE_BENCH, Place.clean_side}:
        if opened is None or any(line.id not in opened.run.looked for line in opened.plan.lines):
            yield {"act": "look-all", **code}
        if opened is not None:
            yield from _all_at(opened, Station.bench, code)
    yield {"act": "count-all", "station": Station.packing.value, **code}
    yield {"act": "pack", **code}


def _all_at(opened: OpenRun, station: Station, code: Act) -> Iterator[Act]:
    """Everything at a station that people do, begun where it is timed."""
    left = [one for one in opened.run.still_open(opened.plan, station) if one.whose == "hand"]
    if any(one.at_least_s and one.id not in opened.run.timers for one in left):
        yield {"act": "start-station", "station": station.value, **code}
    if left:
        yield {"act": "finish-station", "station": station.value, **code}
