"""What the text says of itself in two places: agents, baths, voltages, exposures."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Measure
from sinkside.instruction import Action, Stage, Step
from sinkside.quantities import Bound, Figure, FigureQuantity
from sinkside.review.asking import NAMES, parts_named
from sinkside.review.case import Case, Passage, words
from sinkside.review.lexicon import behind, clauses, found, negated, says
from sinkside.review.permissions import exclusions
from sinkside.review.rule import Theme, Trip, rule
from sinkside.review.stated import held, shown, steam_steps

#: Families of agents that a text forbids by one name and uses by another.
_AGENTS = {
    "chlorine-family": "chlorine",
    "oxygen-family": "active oxygen",
    "alcohol": "alcohol",
    "phenol-family": "phenol",
    "iodine-family": "iodine",
    "aldehyde": "aldehyde",
    "ammonia-family": "ammonia",
    "solvent-family": "solvents",
    "acid-family": "acid",
    "enzyme-family": "enzymes",
}
_UNTIL = re.compile(r"\buntil\b", re.IGNORECASE)
_USES_AGENTS = frozenset(Stage) - {Stage.storage}
_IS_BLAMED = ("harm", "kept-away-from", "agent-residue", "free-of", "forbidden")
_ROUNDING = 1e-6
_A_DAY_S = 86400.0
_A_MONTH_S = 30.0 * _A_DAY_S
_ROUNDED_MONTHS = 0.05
_SAME_K = 0.6
_LONGEST_BATH_S = 90 * 86400.0


@rule(
    Theme.contradictions,
    Level.concern,
    title="Something is done to a part for which the text rules it out.",
    message="The text rules out {what} for {part}, and asks for it here.",
    remedy="Ask the maker whether {part} withstands {what}; until then it is left out.",
)
def ruled_out_for_part(case: Case) -> Iterator[Trip]:
    """Tables of yes and no, and "for S and O only", against the steps that name what is left out."""
    for excluded in exclusions(case):
        for step in case.steps:
            if excluded.is_meant_by(step) and words(step) != excluded.place.text:
                evidence: Evidence = {"what": NAMES[excluded.sense], "part": excluded.thing}
                yield Trip(case.place(step), evidence, (excluded.place,))


@rule(
    Theme.contradictions,
    Level.concern,
    title="An agent that the text forbids is used.",
    message="The text forbids {agent} and uses it here.",
    remedy="Ask the maker which of the two holds; until then the agent is not used.",
)
def forbidden_agent_used(case: Case) -> Iterator[Trip]:
    """Agents that are forbidden, or said to do harm, by family against the steps that use one of it."""
    for family, name in _AGENTS.items():
        bans = [p for p in case.sentences if any(_forbids(clause, family) for clause in clauses(p.text))]
        for passage in case.sentences if bans else ():
            if not _is_used(case, passage, family):
                continue
            meant = [ban for ban in bans if _concerns(case, ban, passage)]
            if meant:
                others = tuple(ban.place for ban in meant)
                yield Trip(passage.place, {"agent": name}, others)


@rule(
    Theme.contradictions,
    Level.concern,
    title="A test voltage is higher than the insulation withstands by the text itself.",
    message="This step asks for {voltage}; the text itself sets {limit} as the most.",
    remedy="Ask the maker for the test voltage; until then the lower one holds.",
)
def voltage_above_own_limit(case: Case) -> Iterator[Trip]:
    """Voltages against every upper bound on voltage that another sentence sets."""
    voltage = FigureQuantity.voltage
    stated = [(p, figure) for p in case.sentences for figure in p.figures if figure.quantity is voltage]
    for limited, limit in stated:
        is_harm = limit.bound is Bound.at_least and says(limited.text, "harm")
        is_named = limit.bound is Bound.value and says(limited.text, "at-most-word")
        if not (limit.bound is Bound.at_most or is_harm or is_named):
            continue
        most = limit.number("V")
        for passage, asked in stated:
            if passage.text != limited.text and asked.number("V") > most * (1 + _ROUNDING):
                yield Trip(passage.place, {"voltage": shown(asked), "limit": shown(limit)}, (limited.place,))


@rule(
    Theme.contradictions,
    Level.concern,
    title="A bath is to be used once, and is to be used for days.",
    message="The {bath} is discarded after each use here, and may be used for {time} elsewhere.",
    remedy="Ask the maker whether the {bath} is used once; until then it is.",
)
def bath_used_once_and_again(case: Case) -> Iterator[Trip]:
    """Words that ask for a fresh bath every time against words that let one be used for days."""
    for passage in case.sentences:
        bath = found(passage.text, "bath-agent")
        if not bath or not says(passage.text, "used-once") or says(passage.text, "not-once"):
            continue
        for other in case.sentences:
            lasting = [figure for figure in other.figures if _lasts(figure)]
            is_of_bath = found(other.text, "bath-agent") & bath or _follows(case, other, bath)
            if other.text != passage.text and lasting and is_of_bath and says(other.text, "may-be-used"):
                evidence: Evidence = {"bath": min(bath), "time": shown(lasting[0])}
                yield Trip(passage.place, evidence, (other.place,))


@rule(
    Theme.contradictions,
    Level.concern,
    title="Two different exposures are given for one steam temperature.",
    message="At {temperature} {first} are given here and {second} elsewhere.",
    remedy="Get the maker's written answer: which exposure holds; until then the longer one does.",
)
def exposures_differ(case: Case) -> Iterator[Trip]:
    """Exposures at one temperature in two sentences that name no condition and no other kind of cycle."""
    told = [
        (step, temperature_c, temperature, time, time_s)
        for step in steam_steps(case)
        for temperature, temperature_c, time, time_s in held(step)
        if not says(words(step), "own-cycle") and not step.condition
    ]
    for at, (step, one_c, temperature, first, first_s) in enumerate(told):
        for other, other_c, _, second, second_s in told[at + 1 :]:
            is_same = abs(one_c - other_c) <= _SAME_K and words(step) != words(other)
            if is_same and _is_one_cycle(step, other) and abs(first_s - second_s) > 1.0:
                evidence: Evidence = {
                    "temperature": shown(temperature),
                    "first": shown(first),
                    "second": shown(second),
                }
                yield Trip(case.place(step), evidence, (case.place(other),))
                return


@rule(
    Theme.contradictions,
    Level.concern,
    title="The device needs no oil by the text itself, and is to be oiled.",
    message="The text says that no oil is needed, and oils the device here.",
    remedy="Ask the maker whether, where and with what the device is lubricated.",
)
def needless_oil_asked(case: Case) -> Iterator[Trip]:
    """Words that no lubricant is needed against the steps that lubricate the same part, or any."""
    for needless in case.sentences:
        if not says(needless.text, "needs-no-oil"):
            continue
        for step in case.doing(Action.lubricate):
            asked = Passage(words(step), case.place(step))
            is_denied = any(says(asked.text, sense) for sense in ("negation", "needs-no-oil"))
            if not is_denied and _concerns(case, needless, asked):
                yield Trip(asked.place, {}, (needless.place,))


@rule(
    Theme.contradictions,
    Level.concern,
    title="Two different intervals of service are given.",
    message="Service is due every {first:.0} here and every {second:.0} elsewhere.",
    remedy="Ask the maker for the interval of service; until then the shorter one holds.",
)
def service_intervals_differ(case: Case) -> Iterator[Trip]:
    """Times between two services, in figures or as "once a year", against each other."""
    told = list(_service_intervals(case))
    for at, (passage, first_s) in enumerate(told):
        for other, second_s in told[at + 1 :]:
            is_same = passage.text == other.text or math.isclose(first_s, second_s, rel_tol=_ROUNDED_MONTHS)
            if not is_same and _concerns(case, passage, other):
                evidence: Evidence = {
                    "first": Measure(value=first_s / _A_MONTH_S, unit="month"),
                    "second": Measure(value=second_s / _A_MONTH_S, unit="month"),
                }
                yield Trip(passage.place, evidence, (other.place,))
                return


def _service_intervals(case: Case) -> Iterator[tuple[Passage, float]]:
    for passage in case.sentences:
        if not says(passage.text, "service") or says(passage.text, "whichever"):
            continue
        if says(passage.text, "once-a-year"):
            yield passage, 12 * _A_MONTH_S
        for figure in passage.figures:
            seconds = figure.ends("s")[0] if figure.quantity is FigureQuantity.time else 0.0
            if says(passage.text, "interval") and math.isfinite(seconds) and seconds >= _A_MONTH_S:
                yield passage, seconds


def _forbids(clause: str, family: str) -> bool:
    """Whether a clause forbids an agent or says that it does harm; a bound on its strength does neither."""
    if not says(clause, family) or any(letter.isdigit() for letter in behind(clause, family)):
        return False
    if says(clause, "weak-negation") or says(clause, "free-of"):
        return False
    # What must be gone before the work is over ("until no air is left") is no ban.
    said = _UNTIL.split(clause, maxsplit=1)[0]
    return any(says(said, sense) for sense in ("negation", "forbidden", "harm", "kept-away-from"))


def _is_used(case: Case, passage: Passage, family: str) -> bool:
    """Whether words ask for an agent: in a step of the work, and without denying or blaming it."""
    text = passage.text
    if not says(text, family) or case.stage_of(passage) not in _USES_AGENTS:
        return False
    if passage.step is None and not says(text, "agent-asked"):
        return False
    said = [clause for clause in clauses(text) if says(clause, family)]
    return any(not (negated(clause, family) or any(says(clause, x) for x in _IS_BLAMED)) for clause in said)


def _concerns(case: Case, ban: Passage, passage: Passage) -> bool:
    """Whether a prohibition and a use are about one thing: parts decide where both name some."""
    if ban.text == passage.text:
        return False
    mine, other = (parts_named(case, p.text) | found(p.text, "component") for p in (ban, passage))
    return not (mine and other) or bool(mine & other)


def _lasts(figure: Figure) -> bool:
    if figure.quantity is not FigureQuantity.time:
        return False
    high = figure.ends("s")[1]
    return math.isfinite(high) and _A_DAY_S <= high <= _LONGEST_BATH_S


def _follows(case: Case, passage: Passage, bath: frozenset[str]) -> bool:
    """Whether a sentence that begins with "it" stands behind one that names the bath."""
    at = case.sentences.index(passage)
    before = case.sentences[at - 1].text if at else ""
    return says(passage.text, "it") and bool(found(before, "bath-agent") & bath)


def _is_one_cycle(one: Step, other: Step) -> bool:
    """Whether two steps may speak of one cycle: no two kinds of it are named."""
    if one.air_removal and other.air_removal and one.air_removal != other.air_removal:
        return False
    kinds, others = (found(words(step), "cycle-kind") for step in (one, other))
    return one.alternative == other.alternative and (not kinds or not others or bool(kinds & others))


RULES = (
    ruled_out_for_part,
    forbidden_agent_used,
    voltage_above_own_limit,
    bath_used_once_and_again,
    exposures_differ,
    needless_oil_asked,
    service_intervals_differ,
)
