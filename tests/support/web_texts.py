"""Texts that are read at once in a house on the web, so that tests of other pages have them."""

from __future__ import annotations

from sinkside.desk import shelf
from sinkside.desk.access import visitor_in
from sinkside.desk.jobs import work_once
from sinkside.desk.uploads import Upload
from sinkside.instruction import Instruction
from support.desk_house import ReadAs
from web.conftest import NOW, House


def read_text(house: House, text: Instruction) -> str:
    """A text that the lead handed in and that was read; what else waits to be read is let go."""
    with house.archive.unit() as unit:
        for job in unit.jobs.all(["valley"], states=["waiting"]):
            unit.jobs.cancel(job.id)
        lead = unit.people.by_sign_in("lead")
        assert lead is not None
        who = visitor_in(unit, lead.id, "valley", NOW)
    upload = Upload("hook.txt", "text/plain", b"Dry the device.")
    handed = shelf.hand_in(house.archive, who, upload, now=NOW)
    done = work_once(house.archive, {shelf.DRAFT_JOB: ReadAs(text=text)}, worker="w", clock=lambda: NOW)
    assert done is not None
    assert done.state == "done", done.error
    return handed.instruction
