"""Twenty people clicking without pause while a document is drafted, beside a bare page: part of `make bench`.

The people are threads of this process; the house is served by the command, with its worker, in processes of
its own; so is the bare page, which is the same framework's answer to the same clicks with nothing behind it.
"""

from __future__ import annotations

import os
import re
import socket
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from statistics import quantiles

from house_clicks import Clicked, Clicker, click

from sinkside import wiring
from sinkside.demo.house import VALLEY, fill_house
from sinkside.desk import jobs as desk_jobs
from sinkside.desk import shelf
from sinkside.desk.access import Visitor, visitor_in
from sinkside.desk.cycle_handing_in import Ran, hand_in_cycles
from sinkside.desk.passwords import new_token, token_digest
from sinkside.desk.ports import Archive
from sinkside.desk.uploads import Upload
from sinkside.records import Session

ROOT = Path(__file__).parents[1]
DOCUMENT = ROOT / "src" / "sinkside" / "demo" / "documents" / "sinus-forceps.pdf"
TRACE = ROOT / "tests" / "samples" / "traces" / "r-009.csv"
MACHINE, PROGRAM = "sterilizer-1", "132 °C, 4 min"
PEOPLE = 20
SECONDS, BARE_SECONDS = 12.0, 3.0
READING_BAR_S, WRITING_BAR_S = 0.150, 0.250

#: More than the worker gets through in the measured time, so that a document is being drafted all along.
DOCUMENTS_WAITING = 40
LISTS = ("today", "instructions", "cycles", "record", "jobs")
_STARTS_WITHIN_S = 60.0


def fill(folder: Path) -> list[Clicker]:
    """A house in which everybody who clicks has a session, an instruction and a cycle."""
    wiring.make_workspace(folder)
    archive = wiring.open_workspace(folder)
    fill_house(archive, now=wiring.now())
    lead = _lead(archive)
    for _ in range(PEOPLE):
        shelf.hand_in(archive, lead, _upload(DOCUMENT, "application/pdf"), now=wiring.now())
        _work_all(archive)
    record = _upload(TRACE, "text/csv")
    cycles = hand_in_cycles(archive, lead, [record] * PEOPLE, ran=Ran(MACHINE, PROGRAM), now=wiring.now())
    _work_all(archive)
    rows = shelf.shelf(archive, lead, text="forceps")[:PEOPLE]
    people = [
        _clicker(archive, lead, instruction=row.id, cycle=cycle)
        for row, cycle in zip(rows, cycles.cycles, strict=True)
    ]
    for copy in range(DOCUMENTS_WAITING):
        shelf.hand_in(archive, lead, _document(copy), now=wiring.now())
    return people


def _work_all(archive: Archive) -> None:
    while desk_jobs.work_once(archive, wiring.job_handlers(), worker="bench", clock=wiring.now):
        pass


def _document(copy: int) -> Upload:
    """The document in other bytes each time: sent twice before it is read, it would be drafted once."""
    return Upload(DOCUMENT.name, "application/pdf", DOCUMENT.read_bytes() + f"\n%% copy {copy}\n".encode())


def _upload(path: Path, media_type: str) -> Upload:
    return Upload(path.name, media_type, path.read_bytes())


def _lead(archive: Archive) -> Visitor:
    with archive.unit(writes=False) as unit:
        person = unit.people.by_sign_in("lead")
        assert person is not None
        return visitor_in(unit, person.id, VALLEY.id, wiring.now())


def _clicker(archive: Archive, lead: Visitor, *, instruction: str, cycle: str) -> Clicker:
    """Somebody with an open session; checking a password is no click."""
    token, csrf, now = new_token(), new_token(), wiring.now()
    with archive.unit() as unit:
        unit.people.open_session(Session(token_digest(token), lead.person, now, now, csrf))
    steps = shelf.open_instruction(archive, lead, instruction).instruction.steps
    at = f"/at/{VALLEY.id}"
    return Clicker(
        cookie=f"sinkside_session={token}",
        csrf=csrf,
        lists=tuple(f"{at}/{name}" for name in LISTS),
        instruction=f"{at}/instructions/{instruction}",
        steps=tuple(step.id for step in steps),
        cycle=f"{at}/cycles/{cycle}",
    )


@contextmanager
def served(folder: Path) -> Iterator[int]:
    """The house, served by the command with its worker; gives the port."""
    command = [sys.executable, "-m", "sinkside", "serve", "--workspace", str(folder), "--port", "0"]
    environment = {**os.environ, "PYTHONUNBUFFERED": "1"}
    with (folder.parent / "log").open("wb") as log:
        process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=log, text=True, env=environment)
    with _stopped_at_the_end(process):
        assert process.stdout is not None
        for line in process.stdout:
            if found := re.match(r"Sinkside is at http://127.0.0.1:(\d+)", line):
                yield int(found[1])
                return
        raise SystemExit("the house was not served")


@contextmanager
def bare_page() -> Iterator[int]:
    """A page of the same framework with nothing behind it, for every address; gives the port."""
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        port = int(found.getsockname()[1])
    process = subprocess.Popen([sys.executable, __file__, "bare", str(port)])
    with _stopped_at_the_end(process):
        _wait_for(port)
        yield port


@contextmanager
def _stopped_at_the_end(process: subprocess.Popen[str] | subprocess.Popen[bytes]) -> Iterator[None]:
    try:
        yield
    finally:
        process.terminate()
        process.wait(30)
        if process.stdout is not None:
            process.stdout.close()


def _wait_for(port: int) -> None:
    end = time.monotonic() + _STARTS_WITHIN_S
    while time.monotonic() < end:
        with socket.socket() as trying:
            if trying.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise SystemExit("the bare page was not served")


def serve_bare_page(port: int) -> None:
    """Serve a page that is a sentence, by a function in a thread as the pages of the house are."""
    import uvicorn
    from fastapi import FastAPI
    from fastapi.responses import HTMLResponse, Response

    app = FastAPI(openapi_url=None)

    @app.get("/{path:path}")
    def page(path: str) -> Response:
        return HTMLResponse(f"<!doctype html><title>{len(path)}</title><p>A page.")

    @app.post("/{path:path}")
    def act(path: str) -> Response:
        return Response(status_code=303, headers={"Location": f"/{path}"})

    uvicorn.run(app, host="127.0.0.1", port=port, log_level="error", access_log=False)


def waiting_documents(folder: Path) -> int:
    """How many documents wait to be drafted, or are being drafted."""
    archive = wiring.open_workspace(folder)
    with archive.unit(writes=False) as unit:
        return len(unit.jobs.all([VALLEY.id], states=["waiting", "running"], limit=1000))


def p95(seconds: list[float]) -> float:
    """The time within which 95 of a hundred clicks were answered."""
    return quantiles(seconds, n=20)[-1] if len(seconds) > 1 else float("nan")


def tell(clicked: Clicked, bare: Clicked) -> None:
    """Print each kind of click beside the bare page, with its bar."""
    bars = {"list": READING_BAR_S, "instruction": READING_BAR_S, "write": WRITING_BAR_S}
    for kind, bar in bars.items():
        ours, theirs = clicked.seconds[kind], bare.seconds[kind]
        word = "within" if p95(ours) <= bar else "ABOVE"
        print(
            f"{f'house, {PEOPLE} people, p95 of {len(ours)} × {kind}':<42} {p95(ours) * 1000:8.1f} ms   "
            f"{p95(ours) / p95(theirs):6.1f} × bare page ({p95(theirs) * 1000:.1f} ms)   "
            f"{word} the bar of {bar * 1000:.0f} ms"
        )


def main() -> None:
    """Measure, and print every figure."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "house"
        people = fill(folder)
        with served(folder) as house, bare_page() as plain:
            click(house, people, seconds=1.0, writes=False)
            bare = click(plain, people, seconds=BARE_SECONDS)
            clicked = click(house, people, seconds=SECONDS)
            left = waiting_documents(folder)
    tell(clicked, bare)
    clicks = sum(len(taken) for taken in clicked.seconds.values())
    print(f"  {clicks / SECONDS:.0f} clicks a second; documents still waiting to be drafted: {left}")
    for surprise in sorted(set(clicked.surprises))[:5]:
        print(f"  not as expected: {surprise}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["bare"]:
        serve_bare_page(int(sys.argv[2]))
    else:
        main()
