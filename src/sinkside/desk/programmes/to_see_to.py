"""What Today says of everything that is verified."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from sinkside.desk.access import Visitor
from sinkside.desk.ports import Unit
from sinkside.desk.programmes.families import FAMILY, families_to_see_to
from sinkside.desk.programmes.kept import PROGRAMME
from sinkside.desk.programmes.seeing import programmes_to_see_to
from sinkside.desk.programmes.texts import TEXT, texts_to_see_to
from sinkside.desk.programmes.water_events import events_to_see_to
from sinkside.desk.programmes.water_gate import WATER_EVENT
from sinkside.findings import Level

#: How much it weighs, a sentence, what is opened by noun and key, and when it was or is due.
ToSee = tuple[Level, str, str, str, datetime | None]


def verification_to_see_to(unit: Unit, who: Visitor, *, now: datetime) -> Iterator[ToSee]:
    """Everything that is verified and waits for this person, room by room."""
    for level, sentence, key, due in programmes_to_see_to(unit, who, now=now):
        yield level, sentence, PROGRAMME, key, due
    for level, sentence, key, due in families_to_see_to(unit, who, now=now):
        yield level, sentence, FAMILY, key, due
    for level, sentence, key, due in texts_to_see_to(unit, who):
        yield level, sentence, TEXT, key, due
    for level, sentence, key, due in events_to_see_to(unit, who):
        yield level, sentence, WATER_EVENT, key, due
