"""Evidence: from a pack's code to what is kept of its run, what is not recorded, and the file of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import Query

from sinkside.desk.evidence import checking, looking
from sinkside.desk.evidence.gathering import READ
from sinkside.desk.evidence.making import MAKE, PDF, made_file, make_evidence
from sinkside.desk.evidence.of_loads import make_load_evidence
from sinkside.web.asked import Asked
from sinkside.web.rendering import shown_moment
from sinkside.web.screen import DEPARTMENT, Done, Nav, Option, Screen, Sending

PLACE: Final = f"{DEPARTMENT}/evidence"
_RUN: Final = f"{PLACE}/run/{{run}}"
_LOAD: Final = f"{PLACE}/load/{{load}}"

screen = Screen("evidence")

_MADE: Final = "Made and kept; the record book says so."
_MOST_EARLIER: Final = 12


@dataclass(frozen=True)
class EvidencePage:
    """Where a code is scanned or typed, the runs and loads of which files were made, where a head is checked.

    `check` is empty for whoever may not check the chain.
    """

    title: str
    find: str
    made: tuple[Option, ...]
    check: str


@dataclass(frozen=True)
class FileLine:
    """A file that was made: what it is called, when and by whom, where it is; no address where it is gone."""

    words: str
    address: str


@dataclass(frozen=True)
class InShort:
    """One thing that it comes to: what, how it was, and the figures or names behind that."""

    what: str
    how: str
    behind: str


@dataclass(frozen=True)
class GapShown:
    """One thing that is not recorded: about what, and a sentence."""

    about: str
    sentence: str


@dataclass(frozen=True)
class EvidenceOnePage:
    """A run or a load in short.

    Attributes:
        title: what it is of.
        about: lines below the title.
        address: where a file of it is made.
        index: where another code is typed.
        gaps: what is not recorded.
        warned: what is to be known before anything else.
        short: what it comes to.
        files: the files that were made of it, the latest first.
        may_make: whether whoever reads this may make one.
        beside_title: what the links below are.
        beside: other pages of evidence: loads and earlier runs, or the sets of a load.
        head: the head of the chain now.
        check: where a printed head is checked; empty for whoever may not.
    """

    title: str
    about: tuple[str, ...]
    address: str
    index: str
    gaps: tuple[GapShown, ...]
    warned: tuple[str, ...]
    short: tuple[InShort, ...]
    files: tuple[FileLine, ...]
    may_make: bool
    beside_title: str
    beside: tuple[Option, ...]
    head: str
    check: str


@dataclass(frozen=True)
class HeadPage:
    """What became of a printed head: whether the record book still has it, in a sentence."""

    title: str
    index: str
    printed: str
    matches: bool
    sentence: str
    check: str


@screen.page(PLACE, right=READ, template="evidence.html", nav=Nav("Evidence", 47, "proof"))
def evidence_page(asked: Asked) -> EvidencePage:
    """Scan or type the code of a pack; the latest files stand below."""
    rows = looking.find_files(asked.archive, asked.visitor)
    zone = asked.visitor.zone
    return EvidencePage(
        title="Evidence",
        find=asked.at("/evidence/of"),
        made=tuple(
            Option(
                asked.at(f"/evidence/{row.fields['of']}/{row.id}"),
                f"{row.title}, {shown_moment(row.updated, zone)}",
            )
            for row in rows
        ),
        check=_check(asked),
    )


@screen.page(f"{PLACE}/of", right=READ, template="evidence_one.html")
def evidence_of_code(asked: Asked, *, code: Annotated[str, Query(max_length=200)] = "") -> EvidenceOnePage:
    """The last run of the set that a code belongs to."""
    return _of_run(asked, looking.run_for_code(asked.archive, asked.visitor, code))


@screen.page(_RUN, right=READ, template="evidence_one.html")
def run_page(asked: Asked, run: str) -> EvidenceOnePage:
    """A run in short, what is not recorded of it, and its files."""
    return _of_run(asked, run)


def _of_run(asked: Asked, run: str) -> EvidenceOnePage:
    seen = looking.see_run(asked.archive, asked.visitor, run, now=asked.now)
    zone = asked.visitor.zone
    loads = tuple(
        Option(
            asked.at(f"/evidence/load/{one.load.id}"),
            f"Load: {one.load.fields.get('machine_name') or one.load.machine}, {one.load.program}",
        )
        for one in seen.facts.loads
    )
    earlier = tuple(
        Option(asked.at(f"/evidence/run/{key}"), f"Run opened {shown_moment(opened, zone)}")
        for key, opened in seen.facts.earlier[:_MOST_EARLIER]
    )
    return _one(asked, seen, asked.at(f"/evidence/run/{run}"), ("Its loads and other runs", loads + earlier))


@screen.act(_RUN, right=MAKE, page=run_page)
def make_of_run(asked: Asked, run: str) -> Done:
    """Make the evidence file of a run."""
    address = asked.at(f"/evidence/run/{run}")
    live = f"{asked.address}{address}"
    make_evidence(asked.archive, asked.visitor, run, now=asked.now, live_url=live)
    return Done(go=address, said=_MADE)


@screen.file(f"{_RUN}/files/{{number}}", right=READ)
def file_of_run(asked: Asked, run: str, number: int) -> Sending:
    """A file of a run, byte for byte as it was made."""
    return _file(asked, run, number)


@screen.page(_LOAD, right=READ, template="evidence_one.html")
def load_page(asked: Asked, load: str) -> EvidenceOnePage:
    """A load in short, the sets that lay in it, and its files."""
    seen = looking.see_load(asked.archive, asked.visitor, load, now=asked.now)
    sets = tuple(
        Option(asked.at(f"/evidence/run/{one.kept.id}"), f"{one.copy.name}, code {one.copy.code}")
        for one in seen.facts.runs
    )
    return _one(asked, seen, asked.at(f"/evidence/load/{load}"), ("What lay in it", sets))


@screen.act(_LOAD, right=MAKE, page=load_page)
def make_of_load(asked: Asked, load: str) -> Done:
    """Make the evidence file of a load, with a short page for each set in it."""
    address = asked.at(f"/evidence/load/{load}")
    live = f"{asked.address}{address}"
    make_load_evidence(asked.archive, asked.visitor, load, now=asked.now, live_url=live)
    return Done(go=address, said=_MADE)


@screen.file(f"{_LOAD}/files/{{number}}", right=READ)
def file_of_load(asked: Asked, load: str, number: int) -> Sending:
    """A file of a load, byte for byte as it was made."""
    return _file(asked, load, number)


@screen.page(f"{PLACE}/check", right=checking.CHECK, template="evidence_check.html")
def check_page(asked: Asked, *, head: Annotated[str, Query(max_length=60)] = "") -> HeadPage:
    """Recompute the chain, and say whether the record book still has a printed head."""
    checked = checking.check_head(asked.archive, asked.visitor, head)
    return HeadPage(
        title="A printed head",
        index=asked.at("/evidence") if asked.visitor.may(READ) else "",
        printed=checked.printed,
        matches=checked.matches,
        sentence=checked.sentence,
        check=asked.at("/evidence/check"),
    )


def _one(
    asked: Asked,
    seen: looking.SeenRun | looking.SeenLoad,
    address: str,
    beside: tuple[str, tuple[Option, ...]],
) -> EvidenceOnePage:
    zone = asked.visitor.zone
    return EvidenceOnePage(
        title=seen.said.title,
        about=seen.said.about,
        address=address,
        index=asked.at("/evidence"),
        gaps=tuple(GapShown(about, sentence) for about, sentence in seen.said.gaps),
        warned=seen.said.warned,
        short=tuple(InShort(*one) for one in seen.said.short),
        files=tuple(
            FileLine(
                f"File {one.number}, {shown_moment(one.made.at, zone)}, by {one.by}",
                f"{address}/files/{one.number}" if one.is_kept else "",
            )
            for one in seen.files
        ),
        may_make=asked.visitor.may(MAKE),
        beside_title=beside[0],
        beside=beside[1],
        head=seen.said.head,
        check=_check(asked),
    )


def _file(asked: Asked, subject: str, number: int) -> Sending:
    found = made_file(asked.archive, asked.visitor, subject, number)
    return Sending(found.pdf, PDF, saved_as=found.made.file_name)


def _check(asked: Asked) -> str:
    return asked.at("/evidence/check") if asked.visitor.may(checking.CHECK) else ""
