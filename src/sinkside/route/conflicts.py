"""Why there is no route, as findings, and the smallest changes that would do."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from sinkside.department import Edit
from sinkside.findings import Finding, Level, Measure, Place, Wording
from sinkside.instruction import Step
from sinkside.route import sizes
from sinkside.route.appraisal import Appraisal, Candidate, Refusal, Repair
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
from sinkside.route.packing import NamedCycle, why_not
from sinkside.route.phrases import Phrase
from sinkside.route.windows import Window

#: How the evidence calls what comes nearest, in order.
_NEAREST = ("nearest", "second_nearest", "third_nearest")
_NEAREST_TOLD = len(_NEAREST)
_REPAIRS_TOLD = 5
#: Larger than any change: a conflict that nothing of ours would turn.
NO_CHANGE_WOULD_DO = 1_000


def _missing(rule: str, message: str) -> Wording:
    return Wording(rule=rule, level=Level.stop, message=message, remedy="{change}")


_WORDINGS: Mapping[type[Need], Wording] = {
    SteamNeed: _missing("route-no-steam-program", "No program here is the named cycle: {wanted}."),
    GasNeed: _missing("route-no-gas-program", "No program here is the named cycle: {wanted}."),
    WasherNeed: _missing("route-no-washer-program", "No one program here does the whole block: {wanted}."),
    BathNeed: _missing("route-no-ultrasonic-bath", "No bath here is {wanted}."),
    CabinetNeed: _missing("route-no-drying-cabinet", "There is no {wanted}."),
    WaterNeed: _missing("route-no-water", "No point here gives {wanted} as stated."),
    ChemicalNeed: _missing("route-no-chemical", "No chemical here does: {wanted}."),
    BrushNeed: _missing("route-no-brush", "There is not {wanted}."),
    LubricantNeed: _missing("route-no-lubricant", "There is not {wanted}."),
    AirNeed: _missing("route-no-air", "No line here gives {wanted}."),
    ToolNeed: _missing("route-no-tool", "There is not {wanted}."),
    PackagingNeed: _missing(
        "route-no-packaging",
        "No packaging here carries the device in its cycle: {wanted}.",
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
    remedy="Ask the maker which of the two holds: {wanted}, or that it is forbidden.",
)
IMMEDIATE_USE = Wording(
    rule="route-immediate-use-only",
    level=Level.stop,
    message="The cycle {wanted} is for immediate use, which is never a default route.",
    remedy="Ask the maker for a cycle for packed devices.",
)

FOR_PRIONS = Wording(
    rule="route-prion-cycle-only",
    level=Level.stop,
    message="The cycle {wanted} is for suspicion of prion disease, for which no cycle is proposed.",
    remedy="Quarantine the device, look back, and let a named person decide.",
)
LIMIT_CONTRADICTED = Wording(
    rule="route-limit-contradicted",
    level=Level.stop,
    message="The instruction asks for {first}, and says that the device bears {second}.",
    remedy="Ask the maker which of the two holds: {first} or {second}.",
)
FIGURES_DISAGREE = Wording(
    rule="route-figures-disagree",
    level=Level.stop,
    message="The instruction gives one temperature as two that disagree: {first} and {second}.",
    remedy="Ask the maker which of the two holds: {first} or {second}.",
)

WORDINGS = (
    *_WORDINGS.values(),
    CYCLE_NOT_NAMED,
    CYCLE_FORBIDDEN,
    IMMEDIATE_USE,
    FOR_PRIONS,
    FIGURES_DISAGREE,
    LIMIT_CONTRADICTED,
)


def barred(need: Need, language: str = "en") -> Finding | None:
    """Why the instruction itself keeps a need from being met, if it does: no department could."""
    torn = next((window for window in _temperatures(need) if window.disagrees), None)
    if torn:
        first, second = (Phrase("{figure}", {"figure": f}) for f in (torn.figure, torn.figure.also[0]))
        evidence = {"first": first.text(language), "second": second.text(language)}
        return FIGURES_DISAGREE.finding(place=_place_of(need, torn), evidence=evidence, language=language)
    against = next(_against_its_limit(need), None)
    if against:
        first, second = (Phrase("{figure}", {"figure": window.figure}) for window in against)
        evidence = {"first": first.text(language), "second": second.text(language)}
        place = _place_of(need, against[0])
        return LIMIT_CONTRADICTED.finding(place=place, evidence=evidence, language=language)
    return _barred_cycle(need, language) if isinstance(need, SteamNeed | GasNeed | BathNeed) else None


def _against_its_limit(need: Need) -> Iterator[tuple[Window, Window]]:
    """Figures of a step that lie outside what the device bears, with the limit."""
    pairs: list[tuple[Window, Window]] = []
    if isinstance(need, WasherNeed):
        pairs = [(own, limit) for phase in need.phases for own in phase.ph for limit in need.ph]
    elif isinstance(need, ChemicalNeed):
        pairs = [(own, limit) for own in need.own_ph for limit in need.ph]
    elif isinstance(need, SteamNeed) and need.temperature and need.ceiling:
        pairs = [(need.temperature, need.ceiling)]
    for own, limit in pairs:
        if not limit.meets(own.low, own.high):
            yield own, limit


def _temperatures(need: Need) -> list[Window]:
    """The temperatures that a machine would be chosen by."""
    if isinstance(need, SteamNeed | GasNeed | BathNeed | CabinetNeed):
        return [need.temperature] if need.temperature else []
    if isinstance(need, WasherNeed):
        return [phase.temperature for phase in need.phases if phase.temperature]
    return []


def _barred_cycle(need: SteamNeed | GasNeed | BathNeed, language: str) -> Finding | None:
    """Why a cycle is not to be chosen: forbidden, not named, or meant for another occasion."""
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
    if isinstance(need, SteamNeed) and need.for_prions:
        return FOR_PRIONS.finding(place=_place(need), evidence={"wanted": wanted}, language=language)
    if isinstance(need, SteamNeed) and need.immediate_use:
        return IMMEDIATE_USE.finding(place=_place(need), evidence={"wanted": wanted}, language=language)
    return None


def conflict(
    need: Need, appraisal: Appraisal, language: str = "en", *, cycles: Iterable[NamedCycle] = ()
) -> Finding:
    """The finding that nothing here satisfies a need, with what comes nearest and why it fails.

    Args:
        need: What nothing here satisfies.
        appraisal: What was held against it.
        language: The language of the sentences.
        cycles: The cycles that packaging would have to bear.

    Raises:
        BadInput: if the language is unknown.
    """
    stopped = barred(need, language)
    if stopped:
        return stopped
    named = tuple(cycles)
    near = (
        *(_not_for(named, candidate) for candidate in appraisal.candidates),
        *appraisal.nearest(_NEAREST_TOLD),
    )
    changes = changes_for(need, appraisal, language)
    evidence: dict[str, Measure | int | str] = {
        "wanted": need.wanted.text(language),
        **_nearest(near[:_NEAREST_TOLD], language),
        "change": changes[0].sentence if changes else Phrase("Ask the maker.").text(language),
        "refused": len(appraisal.refusals),
    }
    return _WORDINGS[type(need)].finding(place=_place(need), evidence=evidence, language=language)


def _nearest(refusals: Sequence[Refusal], language: str) -> dict[str, str]:
    """What comes nearest and why it fails, one piece of evidence each."""
    if not refusals:
        return {"nearest": Phrase("nothing").text(language)}
    told = (refusal.reason.text(language).rstrip(".") for refusal in refusals)
    return dict(zip(_NEAREST, told, strict=False))


def _not_for(cycles: Sequence[NamedCycle], candidate: Candidate) -> Refusal:
    """Something that would do by itself, and was left only because it does not bear a cycle."""
    binding, item = candidate.bindings[0], candidate.packs
    faults = (why_not(item, cycle) for cycle in cycles) if item else ()
    told = next((fault for fault in faults if fault), Phrase("it is not what the set lies in"))
    return Refusal(binding.id, binding.name, (told,))


def changes_for(
    need: Need,
    appraisal: Appraisal,
    language: str = "en",
    *,
    does: Callable[[Need, Edit], bool] | None = None,
) -> list[Change]:
    """The changes that would satisfy a need, smallest first.

    Args:
        need: What nothing here satisfies.
        appraisal: What was held against it.
        language: The language of the sentences.
        does: Whether a change, once made, satisfies the need; without it no change is given as data.

    Raises:
        BadInput: if the language is unknown.
    """
    stopped = barred(need, language)
    if stopped:
        asking = Repair(Phrase("{remedy}", {"remedy": stopped.remedy}), sizes.ASK_THE_MAKER)
        return [_change(need, asking, language, does)]
    return [_change(need, repair, language, does) for repair in appraisal.repairs()[:_REPAIRS_TOLD]]


def _change(need: Need, repair: Repair, language: str, does: Callable[[Need, Edit], bool] | None) -> Change:
    sentence = repair.words.text(language)
    edit = repair.edit() if repair.edit and does else None
    return Change(
        sentence=sentence[:1].upper() + sentence[1:],
        resolves=tuple(step.id for step in need.steps),
        size=repair.size,
        edit=edit if edit and does and does(need, edit) else None,
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
        least = known if known and known.size <= change.size else change
        merged[change.sentence] = least.model_copy(update={"resolves": resolves})
    return tuple(sorted(merged.values(), key=lambda change: change.size))


def _place_of(need: Need, window: Window) -> Place:
    """The step that states a window's figure."""
    stating = (step for step in need.steps if window.figure in step.figures)
    return _at(next(stating, need.steps[0]))


def _place(need: Need) -> Place:
    """The step that names the need: of a washer's block the one that washes or disinfects."""
    return _at(need.phases[0].step if isinstance(need, WasherNeed) and need.phases else need.steps[0])


def _at(step: Step) -> Place:
    return Place(step=step.id, page=step.origin.page, line=step.origin.line, text=step.origin.text)
