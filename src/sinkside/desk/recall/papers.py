"""The papers of a recall as it stands: what to fetch, whom to call, letters; nobody's name is on them."""

from __future__ import annotations

from datetime import datetime
from zoneinfo import ZoneInfo

from sinkside.aids.count_sheet import SheetSize
from sinkside.aids.recall import CalledBack, OtherHouse, RecallPaper, RecallRequest, recall_pdf
from sinkside.bench.recall import CauseKind, Fate
from sinkside.desk.access import Visitor
from sinkside.desk.paper_readers import ReadIn, readers_in
from sinkside.desk.ports import Archive
from sinkside.desk.recall.documents import Recalled
from sinkside.desk.recall.recalling import SeenRecall, see_recall

__all__ = ["RecallPaper", "recall_paper"]


def recall_paper(
    archive: Archive,
    who: Visitor,
    recall: str,
    paper: RecallPaper,
    *,
    read_in: ReadIn,
    now: datetime,
    live_url: str = "",
) -> bytes:
    """A paper of a recall as PDF; what is dealt with is on no list any more, letters stand as they were.

    Raises:
        NotAllowed: without the right.
        NotThere: if there is no such recall here.
        BadInput: if there is nobody to write to, or plain words are not written in the language.
        NotForTheFloor: unless it is a proof, while nobody reviewed its words.
    """
    seen = see_recall(archive, who, recall)
    with archive.unit(writes=False) as unit:
        site = unit.sites.get(who.department)
        readers = readers_in(unit, who, read_in)
    known, is_letter = seen.recall, paper in {RecallPaper.cases, RecallPaper.others}
    open_runs = {one.run for one in known.open_sets}
    others = known.concerned if is_letter else known.open_others
    return recall_pdf(
        RecallRequest(
            paper=paper,
            why=known.cause.words,
            since=_shown(known.since, who) if known.since else "",
            until=_shown(known.until, who),
            sets=tuple(_called_back(seen, one, who, is_open=one.run in open_runs) for one in known.reached),
            others=tuple(OtherHouse(one.other, one.what, one.code) for one in others),
            total=len({one.copy_id for one in known.reached}),
            cases=known.numbers if is_letter else known.open_cases,
            department=site.name if site else who.department,
            printed=_shown(now, who),
            live_url=live_url,
            is_prion=known.cause.kind is CauseKind.prion,
            size=SheetSize.a4,
            readers=readers,
        )
    )


def _called_back(seen: SeenRecall, one: Recalled, who: Visitor, *, is_open: bool) -> CalledBack:
    """A set with where it is now; what was used or is away is not fetched."""
    now = seen.now.get(one.run)
    fate = now.fate if now else one.fate
    return CalledBack(
        name=one.name,
        code=one.code,
        place=now.place if now else one.place,
        processed=_shown(one.at, who),
        first=is_open and fate is Fate.issued,
        fetched=is_open and fate in {Fate.issued, Fate.here},
        cases=one.told_cases,
    )


def _shown(moment: datetime, who: Visitor) -> str:
    return moment.astimezone(ZoneInfo(who.zone)).strftime("%Y-%m-%d %H:%M")
