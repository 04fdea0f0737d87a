"""Why there is no route, as findings, and the smallest changes that would do."""

from __future__ import annotations

from collections.abc import Mapping

from sinkside.findings import Finding, Level, Measure, Place, Wording
from sinkside.route import sizes
from sinkside.route.appraisal import Appraisal, Repair
from sinkside.route.document import Change
from sinkside.route.needs import (
    AirNeed,
    BathNeed,
    BrushNeed,
    CabinetNeed,
    ChemicalNeed,
    GasNeed,
    LubricantNeed,
    Need,
    PackagingNeed,
    SteamNeed,
    ToolNeed,
    WasherNeed,
    WaterNeed,
)
from sinkside.route.phrases import Phrase

_NEAREST_TOLD = 3
_REPAIRS_TOLD = 5
#: Larger than any change: a conflict that nothing of ours would turn.
NO_CHANGE_WOULD_DO = 1_000


def _missing(rule: str, message: str) -> Wording:
    return Wording(rule=rule, level=Level.stop, message=message, remedy="{change}")


_WORDINGS: Mapping[type[Need], Wording] = {
    SteamNeed: _missing(
        "route-no-steam-program", "No program here is the named cycle: {wanted}. Nearest: {nearest}"
    ),
    GasNeed: _missing(
        "route-no-gas-program", "No program here is the named cycle: {wanted}. Nearest: {nearest}"
    ),
    WasherNeed: _missing(
        "route-no-washer-program", "No one program here does the whole block: {wanted}. Nearest: {nearest}"
    ),
    BathNeed: _missing("route-no-ultrasonic-bath", "No bath here is {wanted}. Nearest: {nearest}"),
    CabinetNeed: _missing("route-no-drying-cabinet", "There is no {wanted}. Nearest: {nearest}"),
    WaterNeed: _missing("route-no-water", "No point here gives {wanted} as stated. Nearest: {nearest}"),
    ChemicalNeed: _missing("route-no-chemical", "No chemical here does: {wanted}. Nearest: {nearest}"),
    BrushNeed: _missing("route-no-brush", "There is not {wanted}. Nearest: {nearest}"),
    LubricantNeed: _missing("route-no-lubricant", "There is not {wanted}. Nearest: {nearest}"),
    AirNeed: _missing("route-no-air", "No line here gives {wanted}. Nearest: {nearest}"),
    ToolNeed: _missing("route-no-tool", "There is not {wanted}. Nearest: {nearest}"),
    PackagingNeed: _missing(
        "route-no-packaging",
        "No packaging here carries the device in its cycle: {wanted}. Nearest: {nearest}",
    ),
}

CYCLE_NOT_NAMED = Wording(
    rule="route-cycle-not-named",
    level=Level.stop,
    message="The instruction does not say {unsaid} of its cycle, and no cycle is chosen for it.",
    remedy="Ask the maker for {unsaid}.",
)
CYCLE_FORBIDDEN = Wording(
    rule="route-step-forbidden",
    level=Level.stop,
    message="The instruction asks for {wanted} and forbids it: “{words}”.",
    remedy="Ask the maker which of the two holds.",
)
IMMEDIATE_USE = Wording(
    rule="route-immediate-use-only",
    level=Level.stop,
    message="The cycle {wanted} is for immediate use, which is never a default route.",
    remedy="Ask the maker for a cycle for packed devices.",
)

WORDINGS = (*_WORDINGS.values(), CYCLE_NOT_NAMED, CYCLE_FORBIDDEN, IMMEDIATE_USE)


def barred(need: Need, language: str = "en") -> Finding | None:
    """Why the instruction itself keeps a need from being met, if it does: no department could."""
    wanted = need.wanted.text(language)
    if isinstance(need, SteamNeed | BathNeed) and need.forbidden:
        evidence = {"wanted": wanted, "words": need.forbidden}
        return CYCLE_FORBIDDEN.finding(place=_place(need), evidence=evidence, language=language)
    if isinstance(need, SteamNeed) and need.unsaid:
        unsaid = Phrase("{parts}", {"parts": list(need.unsaid)}).text(language)
        return CYCLE_NOT_NAMED.finding(place=_place(need), evidence={"unsaid": unsaid}, language=language)
    if isinstance(need, GasNeed) and (need.exposure is None or not need.exposure.has_floor):
        return CYCLE_NOT_NAMED.finding(
            place=_place(need), evidence={"unsaid": "the exposure time"}, language=language
        )
    if isinstance(need, SteamNeed) and need.immediate_use:
        return IMMEDIATE_USE.finding(place=_place(need), evidence={"wanted": wanted}, language=language)
    return None


def conflict(need: Need, appraisal: Appraisal, language: str = "en") -> Finding:
    """The finding that nothing here satisfies a need, with what comes nearest and why it fails."""
    stopped = barred(need, language)
    if stopped:
        return stopped
    nearest = " ".join(refusal.reason.text(language) for refusal in appraisal.nearest(_NEAREST_TOLD))
    repairs = appraisal.repairs()
    evidence: dict[str, Measure | int | str] = {
        "wanted": need.wanted.text(language),
        "nearest": nearest or Phrase("nothing.").text(language),
        "change": (repairs[0].words if repairs else Phrase("Ask the maker.")).text(language),
        "refused": len(appraisal.refusals),
    }
    return _WORDINGS[type(need)].finding(place=_place(need), evidence=evidence, language=language)


def changes_for(need: Need, appraisal: Appraisal, language: str = "en") -> list[Change]:
    """The changes that would satisfy a need, smallest first."""
    stopped = barred(need, language)
    if stopped:
        asking = Repair(Phrase("{remedy}", {"remedy": stopped.remedy}), sizes.ASK_THE_MAKER)
        return [_change(need, asking, language)]
    return [_change(need, repair, language) for repair in appraisal.repairs()[:_REPAIRS_TOLD]]


def _change(need: Need, repair: Repair, language: str) -> Change:
    sentence = repair.words.text(language)
    return Change(
        sentence=sentence[:1].upper() + sentence[1:],
        resolves=tuple(step.id for step in need.steps),
        size=repair.size,
    )


def smallest_change(need: Need, appraisal: Appraisal) -> int:
    """The size of the smallest change that would satisfy a need."""
    if barred(need):
        return sizes.ASK_THE_MAKER
    return min((repair.size for repair in appraisal.repairs()), default=NO_CHANGE_WOULD_DO)


def ranked(changes: list[Change]) -> tuple[Change, ...]:
    """Changes smallest first, each sentence once, with every step that it helps."""
    merged: dict[str, Change] = {}
    for change in changes:
        known = merged.get(change.sentence)
        resolves = tuple(dict.fromkeys((*(known.resolves if known else ()), *change.resolves)))
        merged[change.sentence] = change.model_copy(update={"resolves": resolves})
    return tuple(sorted(merged.values(), key=lambda change: change.size))


def _place(need: Need) -> Place:
    step = need.steps[0]
    return Place(step=step.id, page=step.origin.page, line=step.origin.line, text=step.origin.text)
