"""A sheet of the paper pack that is one load: opened, its sets put in, started and ended at its own times."""

from __future__ import annotations

from collections.abc import Sequence

from sinkside.bench.outage import PaperLine, PaperLoad
from sinkside.desk.bench.paper_taps import Entering, refused


def enter_load(
    entering: Entering, load: PaperLoad, lines: Sequence[PaperLine]
) -> tuple[list[PaperLine], PaperLoad]:
    """The lines and the head of a sheet after they were entered.

    A set that cannot go in is refused by itself, and the load runs with the others as it did. Once it is
    started, a set that was refused is settled by hand: nobody puts it into a load that has run.
    """
    if load.stands == "started":
        load = _ended(entering, load)
    if load.stands in {"started", "done"}:
        late = "Its load is entered without it; look at the set, and say at its bench what is to be done."
        return [refused(one, late) for one in lines if one.outcome != "done"], load
    if not load.stands:
        act = {"act": "open-load", "machine": load.machine, "program": load.program}
        opened = entering.do(load.sheet, load.tries, act, load.at)
        if opened.outcome == "refused":
            return [refused(one, opened.said) for one in lines], _again(load, opened.said)
    inside = [one if one.outcome == "done" else entering.into_load(one, load) for one in lines]
    if all(one.outcome == "refused" for one in inside):
        return inside, load.model_copy(update={"stands": "open", "said": "No set of it could go in."})
    return inside, _run(entering, load)


def _run(entering: Entering, load: PaperLoad) -> PaperLoad:
    """The load after it was started and ended; what the machine recorded is handed in on its own page."""
    starting = {"act": "start-load", "machine": load.machine}
    started = entering.do(load.sheet, load.tries, starting, load.at)
    if started.outcome == "refused":
        return load.model_copy(update={"stands": "open", "said": started.said, "tries": load.tries + 1})
    return _ended(entering, load)


def _ended(entering: Entering, load: PaperLoad) -> PaperLoad:
    ending = {"act": "end-load", "machine": load.machine, "complete": True}
    ended = entering.do(load.sheet, load.tries, ending, load.ended)
    done = ended.outcome == "done"
    change = {"stands": "done" if done else "started", "said": ended.said, "tries": load.tries + (not done)}
    return load.model_copy(update=change)


def _again(load: PaperLoad, said: str) -> PaperLoad:
    return load.model_copy(update={"said": said, "tries": load.tries + 1})
