"""The acts of the store: nothing goes in or out with something in its way, except by the loud form."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from sinkside.bench import storing
from sinkside.bench.acts import ActOnCopy
from sinkside.bench.exception_form import ExceptionForm, ExceptionKind, review_until
from sinkside.bench.load_acts import WetPack
from sinkside.bench.run import HELD, Place, Run
from sinkside.bench.shelf_life import MISHAP_WORDS, Mishap
from sinkside.bench.store_acts import (
    Issue,
    IssueUnderException,
    PackMishap,
    PutInStore,
    Reserve,
    TakeBack,
    Unreserve,
)
from sinkside.desk.access import require
from sinkside.desk.bench.doing import Doing, Handler, Said, in_order
from sinkside.desk.bench.exceptions import keep_exception, subject_of
from sinkside.desk.bench.load_trouble import wet_pack
from sinkside.desk.bench.runs import OpenRun, copy_of_code, keep_run, run_of
from sinkside.desk.bench.store_cases import given_back, given_to, reserved_for
from sinkside.desk.bench.store_shelf import kept_of
from sinkside.desk.recall.returning import held_if_recalled
from sinkside.errors import BadInput

WORK: Final = "store-work"
EXCEPT: Final = "exception-make"


def put_in_store(doing: Doing, act: PutInStore) -> Said:
    """Put a pack in store; nothing may stand in its way."""
    opened = _opened(doing, act)
    at = in_order(opened, doing)
    run = storing.put_in_store(opened.plan, opened.run, at=at)
    fresh = _with_fields(opened, reserved="", case="", exception="")
    return _kept(doing, fresh, run, f"{opened.plan.name} is in store.", place=act.place)


def reserve(doing: Doing, act: Reserve) -> Said:
    """Keep a pack in store for a case."""
    opened = _opened(doing, act)
    _refuse_elsewhere(opened)
    _refuse_other_case(opened, act.case)
    reserved_for(doing.unit, doing.who, opened.copy, act.case)
    kept = _with_fields(opened, reserved=act.case)
    return _kept(
        doing, kept, kept.run, f"{opened.plan.name} is kept for case {act.case}.", place=opened.copy.place
    )


def unreserve(doing: Doing, act: Unreserve) -> Said:
    """Keep a pack for no case any more."""
    opened = _opened(doing, act)
    case = str(opened.copy.fields.get("reserved") or "")
    if not case:
        raise BadInput(f"{opened.plan.name} is kept for no case", resource="code")
    given_back(doing.unit, doing.who, opened.copy, case)
    kept = _with_fields(opened, reserved="")
    words = f"{opened.plan.name} is kept for no case any more."
    return _kept(doing, kept, kept.run, words, place=opened.copy.place)


def issue(doing: Doing, act: Issue) -> Said:
    """Give a pack out to a case; nothing may stand in its way, and it must be whole."""
    opened = _opened(doing, act)
    _refuse_other_case(opened, act.case)
    at = in_order(opened, doing)
    kept = kept_of(doing.unit, doing.who, opened, now=at)
    run = storing.issued(opened.plan, opened.run, kept, at=at, whole=act.whole)
    given_to(doing.unit, doing.who, opened.copy, act.case, at=at)
    with_case = _with_fields(opened, reserved="", case=act.case)
    return _kept(doing, with_case, run, f"{opened.plan.name} is issued to case {act.case}.")


def take_back(doing: Doing, act: TakeBack) -> Said:
    """Take a pack back from a case: whole and unopened into the store, else to the soiled side."""
    opened = _opened(doing, act)
    at = in_order(opened, doing)
    kept = kept_of(doing.unit, doing.who, opened, now=at)
    sound = act.whole and kept.is_sound and not opened.copy.fields.get("exception")
    run = storing.taken_back(opened.plan, opened.run, at=at, whole=sound)
    given_back(doing.unit, doing.who, opened.copy, str(opened.copy.fields.get("case") or ""))
    back = run.place is Place.in_store
    words = "is in store again" if back else "is soiled and goes along its whole route again"
    if back:
        run = held_if_recalled(doing.unit, doing.who.department, run, at=at, by=doing.who.person)
        words = "is in store again and held: a recall asks for it" if run.is_held else words
    return _kept(doing, _with_fields(opened, case="", exception=""), run, f"{opened.plan.name} {words}.")


def pack_mishap(doing: Doing, act: PackMishap) -> Said:
    """Something happened to a pack: the set begins again at the sink; a wet one holds its whole load."""
    opened = _opened(doing, act)
    inside = storing.sterilizer_load(opened.run)
    if act.what is Mishap.wet and inside and doing.unit.bench.loads.get(inside.load):
        wet_pack(doing, WetPack(code=act.code, where="outside"))
        opened = _opened(doing, act)
    at = in_order(opened, doing)
    run = storing.spoiled(opened.plan, opened.run, at=at)
    for field in ("reserved", "case"):
        given_back(doing.unit, doing.who, opened.copy, str(opened.copy.fields.get(field) or ""))
    words = f"{opened.plan.name}: {MISHAP_WORDS[act.what]}. It goes along its whole route again."
    return _kept(doing, _with_fields(opened, reserved="", case="", exception=""), run, words)


def issue_under_exception(doing: Doing, act: IssueUnderException) -> Said:
    """Give a set out although something stands in its way; the form keeps what that was."""
    require(doing.who, EXCEPT)
    opened = run_of(doing.unit, copy_of_code(doing.unit, doing.who.department, act.code))
    at = in_order(opened, doing)
    kept = kept_of(doing.unit, doing.who, opened, now=at)
    form = ExceptionForm(
        kind=ExceptionKind.issue,
        copy_code=opened.copy.code,
        run=opened.run.id,
        case=act.case,
        authority=act.authority,
        reason=act.reason,
        in_the_way=storing.let_out(opened.plan, opened.run, kept, at=at),
        by=doing.who.person,
        at=at,
        review_by=review_until(doing.now, doing.who.zone),
    )
    exception = keep_exception(doing.unit, doing.who, form, now=doing.now)
    given_to(doing.unit, doing.who, opened.copy, act.case, at=at)
    loud = _with_fields(opened, reserved="", case=act.case, exception=exception)
    words = (
        f"{opened.plan.name} is issued under exception to case {act.case}; somebody else reviews it tomorrow."
    )
    said = _kept(doing, loud, storing.under_exception(opened.run, exception), words)
    return replace(said, beside=(subject_of(exception),))


HANDLERS: Final[Mapping[str, Handler]] = {
    "put-in-store": put_in_store,
    "reserve": reserve,
    "unreserve": unreserve,
    "issue": issue,
    "take-back": take_back,
    "pack-mishap": pack_mishap,
    "issue-under-exception": issue_under_exception,
}


def _opened(doing: Doing, act: ActOnCopy) -> OpenRun:
    require(doing.who, WORK)
    return run_of(doing.unit, copy_of_code(doing.unit, doing.who.department, act.code))


def _refuse_elsewhere(opened: OpenRun) -> None:
    if opened.run.place is not Place.in_store or opened.copy.state == HELD:
        raise BadInput(f"{opened.plan.name} is not in store: {opened.copy.place}", resource="code")


def _refuse_other_case(opened: OpenRun, case: str) -> None:
    other = str(opened.copy.fields.get("reserved") or "")
    if other and other != case:
        raise BadInput(
            f"{opened.plan.name} is kept for case {other}; say first that it is not any more", resource="case"
        )


def _with_fields(opened: OpenRun, **change: str) -> OpenRun:
    return replace(opened, copy=replace(opened.copy, fields={**opened.copy.fields, **change}))


def _kept(doing: Doing, opened: OpenRun, run: Run, words: str, *, place: str = "") -> Said:
    kept = keep_run(doing.unit, opened, run, now=doing.now, at=doing.at, place=place)
    return Said(words, kept.copy.id, kept.copy.state)
