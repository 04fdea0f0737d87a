"""What one load of sets wrote into a house, from theatre to the store, as templates of a long history.

The demo's own morning is the pattern: every event, tap, run, load and record that its first set left is read,
and what is its alone (ids, codes, people, machines, moments) becomes a name that is filled in anew.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from sqlalchemy import Boolean, Connection, Integer, LargeBinary, Table, Text, select, type_coerce

from sinkside.archive.bench.binding import BOUND
from sinkside.archive.journal import REST
from sinkside.archive.schema import events, revisions, rows
from sinkside.archive.schema_bench import cases, copies, loaded, loads, runs, taps
from sinkside.demo.bench_history import CODES
from sinkside.journal import canonical_bytes

_TIME: Final = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}(Z|\+00:00)")
_KEY: Final = re.compile(r"demo-(\d{5})")
_OTHERS_SHARE: Final = re.compile(r',"of c-[0-9a-f]{16}":"[^"]*"')

#: What of a cycle is kept as a document, and under which name its digest stands in events.
_OF_CYCLE: Final = ("cycle", "verdict", "decision")

Values = Mapping[str, Any]


@dataclass(frozen=True)
class Line:
    """One event: when it happens, of one set or of the load, and its text and words with names in it."""

    offset: timedelta
    of_set: bool
    kind: str
    actor: str
    subject: str
    canonical: str
    words: str
    tap: tuple[Any, ...] | None


@dataclass(frozen=True)
class Story:
    """Everything that a load of sets writes, as templates; `moments` are the times that stand in them.

    `of_load` has rows that are written once a load, `of_set` once a set, by the name of their table.
    """

    lines: tuple[Line, ...]
    of_load: Mapping[str, tuple[tuple[Any, ...], ...]]
    of_set: Mapping[str, tuple[tuple[Any, ...], ...]]
    documents: tuple[tuple[Any, ...], ...]
    moments: Mapping[str, tuple[timedelta, str]]
    plan: str
    set_key: str
    people: Mapping[str, str]

    @property
    def took(self) -> timedelta:
        """From the first moment to the last."""
        offsets = [offset for offset, _ in self.moments.values()]
        return max(offsets) - min(offsets)


class _Reader:
    """Reads the demo's morning, and turns what is its own into names."""

    def __init__(self, connection: Connection) -> None:
        self._do = connection
        self.copy = self._row(copies, copies.c.code == CODES[0])
        both = select(loaded.c.load).where(loaded.c.copy == self.copy["id"])
        washed, steamed = sorted(self._all(loads, loads.c.id.in_(both)), key=lambda one: one["opened"])
        self.run = self._row(runs, runs.c.copy == self.copy["id"])
        self.case = self._row(cases, cases.c.number == "C-4401")
        self.cycle = steamed["cycle"]
        self.loads = (washed["id"], steamed["id"])
        self.start = datetime.fromisoformat(str(self.run["opened"]))
        self.moments: dict[str, tuple[timedelta, str]] = {}
        told = self._all(events, events.c.subject == f"copy:{self.copy['id']}")
        self.people = {"theatre": told[1]["actor"], "technician": told[2]["actor"], "lead": told[-1]["actor"]}
        digests = self._all(revisions, revisions.c.subject == self.cycle)
        self._names = {
            **{one["digest"]: f"{one['kind']}_digest" for one in digests},
            self.copy["id"]: "copy",
            self.copy["code"]: "code",
            self.copy["name"]: "name",
            self.copy["of"]: "set",
            self.run["id"]: "run",
            self.run["plan"]: "plan",
            self.loads[0]: "wash",
            self.loads[1]: "steam",
            self.cycle: "cycle",
            self.case["number"]: "case",
            "washer-1": "washer",
            "Washer 1": "washer_name",
            "sterilizer-1": "sterilizer",
            "Sterilizer 1": "sterilizer_name",
            **{person: name for name, person in self.people.items()},
            **{person.casefold(): f"{name}_low" for name, person in self.people.items()},
        }
        # Longer words first: a name may stand in another.
        ordered = sorted(self._names, key=len, reverse=True)
        self._known = re.compile("|".join(map(re.escape, ordered)))

    def _row(self, table: Table, condition: Any) -> Any:
        return self._all(table, condition)[0]

    def _all(self, table: Any, condition: Any) -> Any:
        found = self._do.execute(select(*map(_stored, table.c)).where(condition))
        return [dict(row) for row in found.mappings()]

    def template(self, value: Any) -> Any:
        """A stored value with names in it; what is no text stays."""
        if not isinstance(value, str):
            return value
        text = self._known.sub(lambda found: f"%({self._names[found[0]]})s", value.replace("%", "%%"))
        return _KEY.sub(r"%(keys)s-\1", _TIME.sub(self._moment, text))

    def _moment(self, found: re.Match[str]) -> str:
        offset = datetime.fromisoformat(found[0]) - self.start
        name = f"at{int(offset.total_seconds())}{'z' if found[1] == 'Z' else 'o'}".replace("-", "before")
        self.moments[name] = (offset, found[1])
        return f"%({name})s"

    def lines(self) -> Iterator[Line]:
        """The events of the load and of its first set, in their order."""
        own = {f"copy:{self.copy['id']}", f"cycle:{self.cycle}", *(f"load:{one}" for one in self.loads)}
        known = {row["key"]: row for row in self._all(taps, taps.c.key.like("demo-%"))}
        begun = False
        for row in self._all(events, events.c.department == "valley"):
            event = json.loads(row["canonical"])
            if event["kind"] == REST:
                continue
            event["data"].pop(BOUND, None)  # of other rows than those that are filled in
            begun = begun or (event["kind"] == "tapped" and event["subject"] in own)
            told = event["subject"] in own or event["subject"] == "bench:form"
            if not begun or not told:
                continue
            yield self._line(event, known)
            if event["data"].get("act", {}).get("act") == "put-in-store":
                return

    def _line(self, event: Any, known: Mapping[str, Values]) -> Line:
        text = canonical_bytes(event).decode()
        text = text.replace(event["previous"], "{previous}", 1)
        text = text.replace(f'"sequence":{event["sequence"]},', '"sequence":{sequence},', 1)
        made = self.template(text).replace("{previous}", "%(previous)s").replace("{sequence}", "%(sequence)d")
        begin, end = made.index('"data":') + len('"data":'), made.index(',"format":')
        tap = known.get(event["data"].get("key", ""))
        return Line(
            offset=datetime.fromisoformat(event["at"]) - self.start,
            of_set=event["subject"].startswith("copy:"),
            kind=event["kind"],
            actor=self.template(event["actor"]),
            subject=self.template(event["subject"]),
            canonical=made,
            words=f"{event['kind']} {self.template(event['subject'])} {made[begin:end]}",
            tap=tuple(map(self.template, tap.values())) if tap else None,
        )

    def rows_of(self, table: Table, condition: Any) -> tuple[tuple[Any, ...], ...]:
        """Stored rows of a table, as templates."""
        return tuple(tuple(map(self.template, row.values())) for row in self._all(table, condition))

    def load_rows(self) -> tuple[tuple[Any, ...], ...]:
        """Both loads: which sets lay in them, and how many pieces, is filled in."""
        made = []
        for row in self._all(loads, loads.c.id.in_(self.loads)):
            fields = _OTHERS_SHARE.sub("", row["fields"].replace(f'"of {self.copy["id"]}"', '"of {}"'))
            fields = fields.replace('"of {}":', "{members}").replace('"pieces":2', '"pieces":{pieces}')
            fields = re.sub(r'\{members\}"[^"]*"', "{members}", fields)
            text = self.template(fields).replace("{members}", "%(members)s").replace("{pieces}", "%(pieces)d")
            made.append((*map(self.template, [row[name] for name in row if name != "fields"]), text))
        return tuple(made)

    def documents(self) -> tuple[tuple[Any, ...], ...]:
        """The record, the verdict and the decision of the load's cycle, in their order, without seals."""
        kept = {row["kind"]: row for row in self._all(revisions, revisions.c.subject == self.cycle)}
        return tuple(tuple(map(self.template, list(kept[kind].values())[:-1])) for kind in _OF_CYCLE)


def read_story(connection: Connection) -> Story:
    """The demo's first load, as templates."""
    read = _Reader(connection)
    return Story(
        lines=tuple(read.lines()),
        of_load={"loads": read.load_rows(), "rows": read.rows_of(rows, rows.c.id == read.cycle)},
        of_set={
            "runs": read.rows_of(runs, runs.c.id == read.run["id"]),
            "loaded": read.rows_of(loaded, loaded.c.run == read.run["id"]),
        },
        documents=read.documents(),
        moments=read.moments,
        plan=read.run["plan"],
        set_key=read.copy["of"],
        people=read.people,
    )


def _stored(column: Any) -> Any:
    """A column as it is on the disk, whatever it means."""
    as_it_is = isinstance(column.type, (Boolean, Integer, LargeBinary))
    return column if as_it_is else type_coerce(column, Text).label(column.name)
