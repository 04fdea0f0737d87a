"""Sets of the demo house, of invented devices; their texts are known once the documents were read."""

from __future__ import annotations

from datetime import datetime, timedelta
from importlib import resources
from typing import Final

from sinkside.desk import sets
from sinkside.desk.access import Visitor
from sinkside.desk.ports import Archive
from sinkside.sets import SetDocument, load_set

_FILES: Final = ("hand-surgery.yaml", "sinus.yaml")


def fill_sets(archive: Archive, lead: Visitor, *, now: datetime) -> None:
    """Keep the sets of the demo, as they were made some days ago; one was changed since."""
    for turn, document in enumerate(demo_sets()):
        made = now - timedelta(days=6, hours=turn)
        key = sets.make_set(archive, lead, document.model_copy(update={"mass": None}), now=made)
        if document.mass is not None:
            weighed = made + timedelta(days=1)
            sets.change_set(archive, lead, key, document, base=1, now=weighed, note="Weighed.")


def demo_sets() -> tuple[SetDocument, ...]:
    """The sets that come with the demo."""
    with resources.as_file(resources.files("sinkside.demo") / "data" / "sets") as folder:
        return tuple(load_set(folder / name) for name in _FILES)
