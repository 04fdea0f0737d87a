"""What else an instruction has to tell (after ISO 17664-1), and leaves to the reader."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Level
from sinkside.instruction import Action, Stage, Step
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, Passage, words
from sinkside.review.doing import dose_stated, time_told_nearby, uses_cleaner
from sinkside.review.lexicon import says
from sinkside.review.rule import Theme, Trip, book, figure, rule

#: Fewer words than this are a heading, whatever was read from them.
_FEWEST_WORDS = 3

#: Work with a cleaner for which nobody makes up a bath: a brush is wetted, or the machine doses for itself.
_WITHOUT_A_BATH = frozenset({Action.brush, Action.wash})

#: Fewer steps than this are no instruction.
_FEWEST_STEPS = 3


@rule(
    Theme.completeness,
    Level.concern,
    title="A cleaner is used, and nothing says how strong.",
    message="A cleaner is used here, and no dose is given anywhere.",
    remedy="Ask the maker for the dose, or for the word that the maker of the cleaner decides it.",
    source=book("iso-17664-1"),
)
def dose_untold(case: Case) -> Iterator[Trip]:
    """Steps with a cleaner in a text without a concentration and without leaving it to others.

    A dose that the machine is told is none of the bath that is made up by hand. Where a brush is wetted and
    no bath is made up by hand, the label of the cleaner may be all that is needed.
    """
    if case.mentions("deferred"):
        return
    used = [step for step in case.steps if step.stage is Stage.cleaning and uses_cleaner(step)]
    made_up = [
        s for s in case.doing(Action.prepare_solution) if says(words(s), "detergent") and not s.condition
    ]
    told = [passage for passage in case.passages if dose_stated(passage)]
    by_hand = [passage for passage in told if not _is_for_the_machine(passage)]
    if (used and not told) or (made_up and not by_hand and not _is_for_the_machine(_of(case, made_up[0]))):
        is_bath = bool(made_up) or any(step.action not in _WITHOUT_A_BATH for step in used)
        yield Trip(case.place((made_up or used)[0]), doubtful=not is_bath)


def _of(case: Case, step: Step) -> Passage:
    return Passage(words(step), case.place(step), step.figures, step.on, step)


def _is_for_the_machine(passage: Passage) -> bool:
    """Whether words on a dose are about what a machine doses for itself."""
    step = passage.step
    said = f"{step.heading or ''} {passage.text}" if step else passage.text
    return (step is not None and step.action is Action.wash) or says(said, "by-machine-words")


@rule(
    Theme.completeness,
    Level.note,
    title="A cleaner is used, and nothing says of what kind.",
    message="Nothing says whether the cleaner is neutral, alkaline or enzymatic, nor what pH it has.",
    remedy="Ask the maker which kinds of cleaner were tested.",
    source=book("iso-17664-1"),
)
def cleaner_untold(case: Case) -> Iterator[Trip]:
    """Cleaning with cleaner or in a machine, in a text that names neither kind nor pH."""
    used = [
        s for s in case.steps if s.stage is Stage.cleaning and (uses_cleaner(s) or s.action is Action.wash)
    ]
    named = case.mentions("cleaner-kind") or any(
        says(step.with_ or "", "cleaner-kind") for step in case.steps
    )
    has_ph = any(f.quantity is FigureQuantity.ph for p in case.passages for f in p.figures)
    if used and not named and not has_ph:
        yield Trip(case.place(used[0]))


@rule(
    Theme.completeness,
    Level.concern,
    title="A machine washes, and neither temperature nor time is given.",
    message="Nothing says how hot and for how long the machine washes.",
    remedy="Ask the maker for the temperature and time of each phase.",
    source=book("iso-17664-1"),
)
def machine_wash_without_figures(case: Case) -> Iterator[Trip]:
    """Machine washes of which none, nor the words beside them, has a temperature or a time."""
    washes = [
        step
        for step in case.doing(Action.wash)
        if step.stage is Stage.cleaning and not _is_heading(step)
        if not step.condition and not says(words(step), "again-if")
    ]
    wanted = {FigureQuantity.temperature, FigureQuantity.time}
    told = any(f.quantity in wanted for s in washes for b in _beside(case, s) for f in b.figures)
    told = told or any(time_told_nearby(case, step) for step in washes)
    if washes and not told and not any(says(words(step), "deferred") for step in washes):
        yield Trip(case.place(washes[0]))


@rule(
    Theme.completeness,
    Level.note,
    title="Nothing says with what water the device is rinsed.",
    message="The device is rinsed, and nothing says with what water.",
    remedy="Ask the maker for the quality of the last rinse water.",
    source=book("iso-17664-1"),
)
def rinse_water_untold(case: Case) -> Iterator[Trip]:
    """Rinses in a text that never names a kind of water."""
    rinsed = [step for step in case.doing(Action.rinse, Action.flush) if step.stage is Stage.cleaning]
    named = case.mentions("water-kind") or any(says(step.with_ or "", "water-kind") for step in case.steps)
    if rinsed and not named:
        yield Trip(case.place(rinsed[-1]))


@rule(
    Theme.completeness,
    Level.note,
    title="No way of cleaning in a machine is told.",
    message="The text cleans by hand only, and does not say that a machine is ruled out.",
    remedy="Ask the maker for a validated way in a washer-disinfector, or why there is none.",
    source=book("iso-17664-1"),
)
def machine_cleaning_untold(case: Case) -> Iterator[Trip]:
    """Texts that clean and neither wash in a machine nor speak of one."""
    cleans = [step for step in case.steps if step.stage is Stage.cleaning]
    if len(cleans) >= _FEWEST_STEPS and not case.doing(Action.wash) and not case.mentions("by-machine"):
        yield Trip(case.heading_for(Stage.cleaning))


@rule(
    Theme.completeness,
    Level.note,
    title="Nothing says with what help the device is inspected.",
    message="The device is inspected, and neither light nor magnification is told.",
    remedy="Ask the maker for the light and the magnification.",
    source=figure("inspection-magnification"),
)
def inspection_without_means(case: Case) -> Iterator[Trip]:
    """Inspections in a text that names neither a lens nor a light."""
    looks = [step for step in case.doing(Action.inspect) if not _is_heading(step)]
    magnified = any(step.figures_of(FigureQuantity.counted, "magnification") for step in case.steps)
    if looks and not magnified and not case.mentions("means-of-looking"):
        yield Trip(case.place(looks[0]))


def _is_heading(step: Step) -> bool:
    return 0 < len(step.origin.text.split()) < _FEWEST_WORDS


def _beside(case: Case, step: Step) -> list[Step]:
    """The steps that were read from the same words, or stand under the same number."""
    return [s for s in case.steps if s is step or s.origin == step.origin]


RULES = (
    dose_untold,
    cleaner_untold,
    machine_wash_without_figures,
    rinse_water_untold,
    machine_cleaning_untold,
    inspection_without_means,
)
