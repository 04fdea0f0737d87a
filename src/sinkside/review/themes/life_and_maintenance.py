"""How long a device lasts, and what keeps it working until then."""

from __future__ import annotations

from collections.abc import Iterator

from sinkside.findings import Evidence, Level, Place
from sinkside.instruction import Action, Feature, FeatureKind, FigureRole, PartUse, Stage
from sinkside.quantities import FigureQuantity
from sinkside.review.case import Case, Passage, place_of, words
from sinkside.review.lexicon import found, says, subjects
from sinkside.review.lives import lives
from sinkside.review.plausible import HIGHEST_TEST_V, LOWEST_TEST_V
from sinkside.review.rule import Theme, Trip, book, rule
from sinkside.review.stated import shown

#: Features that wear where they move, and that a person tries before the device is packed.
_MOVES = frozenset(
    {
        FeatureKind.joint,
        FeatureKind.jaw,
        FeatureKind.ratchet,
        FeatureKind.sliding_sleeve,
        FeatureKind.knob,
        FeatureKind.spring,
    }
)
_LUBRICATED = frozenset({FeatureKind.joint, FeatureKind.ratchet})
_LOOKS_AT_EDGES = frozenset({Stage.inspection, Stage.maintenance})
_FEWEST_STEPS = 3

#: "Lubricant", "a suitable oil": words that name no kind.
_BARE = ("lubrication", "open-word")

#: "Test the scissors." says what to do and not what is right; longer sentences mostly tell.
_WORDS_OF_A_BARE_ORDER = 6


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="The life of the device is said to be unlimited and limited.",
    message="The life is said to be unlimited, and {cycles} cycles are named.",
    remedy="Ask the maker after how many cycles, or by which signs, the device is withdrawn.",
)
def life_unlimited_and_limited(case: Case) -> Iterator[Trip]:
    """Words of unlimited life against every number of cycles named for the life."""
    endless = [p for p in case.passages if says(p.text, "life") and says(p.text, "unlimited")]
    numbered: dict[str, tuple[Passage, int]] = {}
    for passage in case.passages if endless else ():
        for stated in passage.figures:
            is_life = stated.role == FigureRole.life or says(passage.text, "life")
            if stated.quantity is FigureQuantity.counted and is_life:
                numbered.setdefault(passage.text, (passage, int(stated.number())))
    if numbered:
        cycles = max(number for _, number in numbered.values())
        others = tuple(passage.place for passage, _ in numbered.values())
        yield Trip(endless[0].place, {"cycles": cycles}, others)


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="Two different lives are given for one thing.",
    message="{first} uses are given here and {second} elsewhere.",
    remedy="Ask the maker after how many uses it is withdrawn; until then the smaller number holds.",
)
def lives_differ(case: Case) -> Iterator[Trip]:
    """Every number of uses against those given for the same part, or for the device as a whole."""
    named = list(lives(case))
    told: set[frozenset[str]] = set()
    for at, first in enumerate(named):
        for second in named[at + 1 :]:
            shared = {part for part in first.parts & second.parts if part.isupper()}
            is_one = (first.parts == second.parts or bool(shared)) and first.words != second.words
            is_one = is_one and first.is_service == second.is_service
            if is_one and first.number != second.number and first.parts not in told:
                told.add(first.parts)
                evidence = {"first": first.number, "second": second.number}
                yield Trip(first.place, evidence, (second.place,))


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="Service is due only after the life that was tested.",
    message="Service is due after {service} uses, and {tested} were tested.",
    remedy="Ask the maker after how many uses the device is serviced, and how many it withstands.",
)
def service_after_life(case: Case) -> Iterator[Trip]:
    """Numbers of uses to a service against the number of uses that was tested or is allowed."""
    named = list(lives(case))
    for service in (life for life in named if life.is_service):
        for life in named:
            # "Reamers 40 cycles, driver 500 or a year after its calibration": each is of its own thing.
            is_list = life.words == service.words and "," in service.words
            # What ends the life of the whole device leaves no part of it to be serviced.
            is_same = (life.parts == service.parts or not life.parts) and not is_list
            if not life.is_service and is_same and life.number < service.number:
                evidence = {"service": service.number, "tested": life.number}
                yield Trip(service.place, evidence, (life.place,))


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="A part is replaced only after the device itself is at the end of its life.",
    message="A part is to be replaced after {part} uses, and the device lasts {device}.",
    remedy="Ask the maker after how many uses the part is replaced, and how many the device withstands.",
)
def part_outlives_device(case: Case) -> Iterator[Trip]:
    """Numbers of uses to the replacement of a part against the life of the device as a whole."""
    named = list(lives(case))
    whole = [life for life in named if not life.parts and not life.is_service]
    for part in (life for life in named if life.parts and says(life.words, "renewing")):
        for device in whole:
            if part.number > device.number:
                yield Trip(part.place, {"part": part.number, "device": device.number}, (device.place,))


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="Nothing says when the device is at the end of its life.",
    message="Neither a number of uses nor the signs of wear that end its life are told.",
    remedy="Ask the maker after how many uses, or by which signs, the device is withdrawn.",
    source=book("iso-17664-1"),
)
def life_untold(case: Case) -> Iterator[Trip]:
    """Texts with no figure and no words of life, wear or withdrawal."""
    told = any(lives(case)) or case.mentions("life-end") or case.doing(Action.retire, Action.count_use)
    if len(case.steps) >= _FEWEST_STEPS and not told:
        # Lives are mostly told at the end, so the last step is shown beside the heading.
        yield Trip(case.heading_for(Stage.maintenance), {}, (case.place(case.steps[-1]),))


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="The end of life is told in words that nobody can check.",
    message="“{words}” tells nobody when the device is to be withdrawn.",
    remedy="Ask the maker for a number of uses, or for the signs by which the device is withdrawn.",
    source=book("iso-17664-1"),
)
def life_cannot_be_checked(case: Case) -> Iterator[Trip]:
    """Words of a long or working life without a figure and without a sign of wear."""
    for passage in case.passages:
        is_vague = says(passage.text, "life-vague") and not passage.figures
        if is_vague and not says(passage.text, "wear-signs"):
            yield Trip(passage.place, {"words": passage.text})


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="Wear is looked for, and nothing says what it looks like.",
    message="“{words}”: nothing says which sign of wear ends the use.",
    remedy="Ask the maker for the signs by which the device is withdrawn.",
    source=book("iso-17664-1"),
)
def wear_without_signs(case: Case) -> Iterator[Trip]:
    """Inspections for wear or damage with no sign that two people would see alike."""
    for step in case.doing(Action.inspect):
        looked_at = found(words(step), "wear-looked-at")
        if looked_at and not any(says(words(one), "clear-signs") for one in case.beside(step)):
            yield Trip(case.place(step), {"words": min(looked_at)})


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="A life in uses is given, and nothing says that uses are counted.",
    message="{number} uses are allowed, and nothing says where they are counted.",
    remedy="Ask the maker how uses are counted, or count them in the department.",
    source=book("iso-17664-1"),
)
def uses_not_counted(case: Case) -> Iterator[Trip]:
    """Lives in uses where no step counts and no words speak of counting."""
    named = list(lives(case))
    if named and not case.doing(Action.count_use) and not case.mentions("counting"):
        yield Trip(named[0].place, {"number": named[0].number})


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="A lubricant is asked for and not named.",
    message="Nothing says what to lubricate with.",
    remedy="Ask the maker which lubricant; it must let steam through.",
    source=book("iso-17664-1"),
)
def lubricant_not_named(case: Case) -> Iterator[Trip]:
    """Lubricating steps where no words of the text name a kind of lubricant."""
    steps = [step for step in case.doing(Action.lubricate) if not says(words(step), "negation")]
    of_it = [p for p in case.passages if says(p.text, "lubrication") or p.step in steps]
    named = case.mentions("lubricant-kind", among=of_it)
    if steps and not named and not any(step.with_ and subjects(step.with_, *_BARE) for step in steps):
        yield Trip(case.place(steps[0]))


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="A joint or ratchet moves, and nothing is said of lubrication.",
    message="The {feature} moves, and the text says neither how it is lubricated nor that it is not.",
    remedy="Ask the maker whether, where and with what the {feature} is lubricated.",
    source=book("iso-17664-1"),
)
def lubrication_untold(case: Case) -> Iterator[Trip]:
    """Joints and ratchets in a text that says nothing about lubricating, for or against."""
    joints = [f for f in case.instruction.device.features if f.kind in _LUBRICATED]
    if joints and not case.doing(Action.lubricate) and not case.mentions("lubrication", "lubricant-kind"):
        yield Trip(_place(case, joints[0]), {"feature": joints[0].name or joints[0].kind.value})


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="A moving device is never tried.",
    message="The {feature} moves, and no step says to try it before packing.",
    remedy="Ask the maker for the test of function and for what must be seen.",
    source=book("iso-17664-1"),
)
def function_test_untold(case: Case) -> Iterator[Trip]:
    """Moving features where no step tests, and no inspection speaks of moving."""
    moving = [feature for feature in case.instruction.device.features if feature.kind in _MOVES]
    tried = case.doing(Action.test) or case.mentions("function-test")
    if moving and case.doing(Action.inspect, Action.pack) and not tried:
        name = moving[0].name or moving[0].kind.value
        yield Trip(case.heading_for(Stage.inspection), {"feature": name})


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="A test is asked for, and nothing says what must come out.",
    message="Nothing says what the test must show.",
    remedy="Ask the maker what must be seen, felt or measured for the device to pass.",
    source=book("iso-17664-1"),
)
def tested_without_criterion(case: Case) -> Iterator[Trip]:
    """Bare orders to test, in a few words that hold neither a figure nor a criterion."""
    for step in case.doing(Action.test):
        said = words(step)
        is_bare = 1 < len(said.split()) <= _WORDS_OF_A_BARE_ORDER and not step.figures
        beside = [s for s in case.steps if s.origin == step.origin or (s.number and s.number == step.number)]
        tells = step.until or any(says(words(s), "criterion") for s in beside)
        if (is_bare or says(said, "bare-test")) and not tells:
            yield Trip(case.place(step))


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="Insulation is never tested.",
    message="The device is insulated, and nothing says how the insulation is tested.",
    remedy="Ask the maker how the insulation is tested, and how often.",
    source=book("insulation-practice"),
)
def insulation_not_tested(case: Case) -> Iterator[Trip]:
    """Insulated devices where no inspection, test or sentence looks at the insulation."""
    insulated = _features(case, FeatureKind.insulation)
    looked_at = any(
        says(passage.text, "insulation")
        and (
            says(passage.text, "looking")
            or (passage.step is not None and passage.step.stage is Stage.inspection)
        )
        for passage in case.passages
    )
    if insulated and not looked_at and case.doing(Action.inspect, Action.test, Action.pack):
        yield Trip(_place(case, insulated[0]))


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="A test voltage is none that an insulation tester has.",
    message="{voltage} is no test voltage of an insulation tester.",
    remedy="Ask the maker for the test voltage, with its unit.",
)
def voltage_implausible(case: Case) -> Iterator[Trip]:
    """Voltages in words about insulation against our own bounds."""
    for passage in case.passages:
        is_test = says(passage.text, "insulation") or says(passage.text, "voltage-tester")
        for stated in passage.figures if is_test else ():
            if stated.quantity is not FigureQuantity.voltage:
                continue
            if not LOWEST_TEST_V <= stated.number("V") <= HIGHEST_TEST_V:
                evidence: Evidence = {"voltage": shown(stated)}
                if stated.unit == "V" and LOWEST_TEST_V <= stated.number() * 1e3 <= HIGHEST_TEST_V:
                    evidence["probably_meant"] = f"{stated.number():g} kV"
                yield Trip(passage.place, evidence)


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="A cutting edge is never looked at.",
    message="The device cuts, and no inspection looks at its {edge}.",
    remedy="Ask the maker how sharpness is tested, and which damage ends the life.",
    source=book("scissors-practice"),
)
def cutting_edge_not_tested(case: Case) -> Iterator[Trip]:
    """Cutting edges of what is used again, where no words look at edge, blade or cut."""
    single = {p.id for p in case.instruction.device.parts if p.use is not PartUse.reusable}
    single |= {p.name for p in case.instruction.device.parts if p.use is not PartUse.reusable}
    edges = [
        f for f in _features(case, FeatureKind.cutting_edge) if f.part not in single and f.name not in single
    ]
    if not edges:
        return
    place = _place(case, edges[0])
    looked_at = any(
        says(passage.text, "edge")
        for passage in case.passages
        if (passage.text != place.text if passage.step is None else passage.step.stage in _LOOKS_AT_EDGES)
    )
    if not looked_at and case.doing(Action.inspect, Action.test):
        yield Trip(place, {"edge": edges[0].name or "edge"})


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="Devices are sent for repair, and nothing says that they are cleaned first.",
    message="This sends devices away, and nothing says that they are cleaned and sterilized first.",
    remedy="Ask the maker in which state devices may be sent; send nothing that was used and not processed.",
)
def repair_not_cleaned_first(case: Case) -> Iterator[Trip]:
    """Words of repair and return, where none of them speaks of decontamination."""
    away = [passage for passage in case.passages if says(passage.text, "repair")]
    if away and not any(says(passage.text, "decontaminated") for passage in away):
        yield Trip(away[0].place)


@rule(
    Theme.life_and_maintenance,
    Level.concern,
    title="Used devices are to be sent away uncleaned.",
    message="Devices are to be sent away uncleaned here.",
    remedy="Ask the maker how a device is decontaminated, packed and marked for return.",
)
def sent_uncleaned(case: Case) -> Iterator[Trip]:
    """Words of sending and return that say outright that nothing is cleaned."""
    for passage in case.sentences:
        is_sent = says(passage.text, "sending") and says(passage.text, "sent-as-it-is")
        is_denied = any(says(passage.text, sense) for sense in ("refusing", "cannot-be-cleaned"))
        if is_sent and not is_denied:
            yield Trip(passage.place)


@rule(
    Theme.life_and_maintenance,
    Level.note,
    title="What is sent for repair must be processed, and what cannot be processed is sent too.",
    message="What is sent must be cleaned or sterilized, and what cannot be cleaned is to be sent as well.",
    remedy="Ask the maker how a device that cannot be cleaned is packed and marked for return.",
)
def repair_cleaned_or_not(case: Case) -> Iterator[Trip]:
    """Words that ask for decontamination before repair against words that send what cannot be cleaned."""
    uncleaned = case.mentions("cannot-be-cleaned")
    for passage in case.passages:
        asks = says(passage.text, "repair") and says(passage.text, "decontaminated")
        if asks and uncleaned and passage.text != uncleaned.text and says(uncleaned.text, "sending"):
            yield Trip(uncleaned.place, {}, (passage.place,))
            return


def _features(case: Case, kind: FeatureKind) -> list[Feature]:
    return [feature for feature in case.instruction.device.features if feature.kind is kind]


def _place(case: Case, feature: Feature) -> Place:
    return place_of(feature.origin) if feature.origin else case.heading_for(Stage.inspection)


RULES = (
    life_unlimited_and_limited,
    lives_differ,
    service_after_life,
    part_outlives_device,
    life_untold,
    life_cannot_be_checked,
    wear_without_signs,
    uses_not_counted,
    lubricant_not_named,
    lubrication_untold,
    function_test_untold,
    tested_without_criterion,
    insulation_not_tested,
    voltage_implausible,
    cutting_edge_not_tested,
    repair_not_cleaned_first,
    sent_uncleaned,
    repair_cleaned_or_not,
)
