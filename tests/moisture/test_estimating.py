"""The estimate for a set: what is told, and what is refused."""

from __future__ import annotations

import re
from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from sinkside.department import Department, Drying, Machine, MachineKind, Program
from sinkside.documents import load, validate
from sinkside.errors import BadDocument, BadInput
from sinkside.instruction import Instruction
from sinkside.limits import Profile, profile
from sinkside.moisture import Asked, Chosen, Moisture, Risk, Things, estimate
from sinkside.moisture.tables import formulas
from sinkside.sets import SetDocument

DATA = Path(str(resources.files("sinkside").joinpath("demo", "data")))
SITE = load(Department, DATA / "department.yaml")
SCISSORS = load(Instruction, DATA / "instructions" / "micro-scissors.yaml")
DISSECTOR = load(Instruction, DATA / "instructions" / "modular-dissector.yaml")

TRAY = {"name": "tray-mesh", "mass": "900 g", "materials": ["stainless steel"], "shape": "mesh"}
CONTAINER = {"kind": "container", "mass": "2.2 kg", "material": "aluminium"}


def program(**changed: Any) -> Program:
    fields: dict[str, Any] = {
        "kind": "steam-prevacuum",
        "name": "134 °C, 5 min",
        "exposure": {"temperature": "134 °C", "time": "5 min"},
        "air_removal": {"pulses": 4, "vacuum": "15 kPa"},
        "drying": {"time": "25 min", "vacuum": "10 kPa"},
    }
    return validate(Program, {**fields, **changed}, resource="program")


def things(*more: dict[str, Any], **changed: Any) -> Things:
    fields = {"things": [TRAY, *more], "packaging": CONTAINER, **changed}
    return validate(Things, fields, resource="things")


def a_set(**changed: Any) -> SetDocument:
    fields: dict[str, Any] = {
        "name": "Hand set",
        "members": [
            {"instruction": "micro-scissors", "count": 2, "holder": "tray-mesh"},
            {"instruction": "modular-dissector"},
        ],
        "packaging": "container",
    }
    return validate(SetDocument, {**fields, **changed}, resource="set")


def told(
    document: SetDocument | None = None,
    known: Things | None = None,
    *,
    site: Department = SITE,
    run: Program | None = None,
    limits: Profile | None = None,
    texts: Mapping[str, Instruction] | None = None,
) -> Moisture:
    instructions = {"micro-scissors": SCISSORS, "modular-dissector": DISSECTOR, **(texts or {})}
    asked = Asked(document or a_set(), instructions, site, limits or profile(site.profile), known or things())
    return estimate(asked, Chosen("Sterilizer 1", run or program()))


def test_every_part_is_a_thing_and_the_floor_is_last() -> None:
    """Parts that have a mass are reckoned one by one, two scissors together, the packaging last."""
    places = told().places
    assert [place.name for place in places] == [
        "micro-scissors × 2",
        "modular-dissector, handle with ratchet",
        "modular-dissector, insulated sleeve",
        "modular-dissector, dissector insert",
        "tray-mesh",
        "lidded container",
    ]
    assert places[0].kg == pytest.approx(0.018)
    assert places[1].materials == ("PEEK", "stainless steel")
    assert places[2].materials == ("stainless steel",)
    assert {place.shape.value for place in places if place.shape} >= {"jointed", "mesh"}


def test_an_answer_is_a_range_a_word_and_never_a_shorter_time() -> None:
    """Drier and wetter end in order, a word of risk, its finding, and that the stated time stands."""
    found = told()
    assert found.told
    assert found.pack is not None
    assert found.condensed is not None
    assert 0.0 <= found.pack.low < found.pack.high < found.condensed.high
    assert found.risk is Risk.possible
    assert [one.rule for one in found.findings] == ["moisture-wet-pack-possible"]
    assert "quoted second-hand" in found.findings[0].message
    assert found.shortens_a_stated_time is False
    assert "never shortens it" in found.stands
    assert "%" not in found.findings[0].message


def test_no_sentence_offers_a_shorter_time() -> None:
    """No help, finding or driver speaks of a shorter drying time, and every help leaves less."""
    found = told()
    sentences = [one.sentence for one in found.helps] + [one.message for one in found.findings]
    assert not re.search(r"short|less time|reduce the (drying|time)", " ".join([*sentences, found.driver]))
    assert found.pack is not None
    *reckoned, last = found.helps
    assert last.left is None
    ends = [one.left.high for one in reckoned if one.left]
    assert len(ends) == len(reckoned) > 1
    assert ends == sorted(ends)
    assert ends[-1] < found.pack.high


def test_what_is_likely_dry_needs_no_help() -> None:
    """A single light thing in a container with a liner is unlikely to be wet: no finding, no help."""
    alone = a_set(members=[{"instruction": "micro-scissors"}])
    known = things(
        {"name": "micro-scissors", "lies": "draining", "shape": "solid"},
        things=[{"name": "micro-scissors", "lies": "draining", "shape": "solid"}],
        packaging={**CONTAINER, "liner": True},
    )
    found = told(alone, known)
    assert (found.risk, found.findings, found.helps) == (Risk.unlikely, (), ())
    assert found.told
    assert "processed again" in found.stands


def test_every_figure_names_a_formula_that_is_told() -> None:
    """Each figure carries a formula's key, and that formula stands in the answer with source and range."""
    found = told()
    figures = [found.pack, found.condensed, *(one.left for one in found.helps)]
    figures += [figure for place in found.places for figure in (place.condensed, place.passed, place.left)]
    shown = {one.key: one for one in found.formulas}
    assert {figure.formula for figure in figures if figure} <= set(shown) == set(formulas())
    assert all(one.source.title and one.source.how_read and one.range for one in shown.values())
    assert all(one.source.how_read == "common practice, no standard found" for one in found.assumptions)


def test_longer_drying_is_named_only_where_every_text_says_at_least() -> None:
    """Both demo texts say "at least" and longer drying helps; one text with a plain time takes that away."""
    assert any("dry for 37.5 min" in one.sentence for one in told().helps)
    steps = tuple(
        step.model_copy(
            update={
                "figures": tuple(
                    figure.model_copy(update={"min": None, "value": figure.min})
                    if figure.role == "drying"
                    else figure
                    for figure in step.figures
                )
            }
        )
        for step in SCISSORS.steps
    )
    plain = SCISSORS.model_copy(update={"steps": steps})
    assert not any("dry for" in one.sentence for one in told(texts={"micro-scissors": plain}).helps)
    silent = SCISSORS.model_copy(update={"steps": ()})
    assert not any("dry for" in one.sentence for one in told(texts={"micro-scissors": silent}).helps)


def test_what_is_not_known_is_asked_for_and_no_figure_given() -> None:
    """Without masses and materials there is no number, and each thing that lacks them is named."""
    nameless = DISSECTOR.model_copy(
        update={"device": DISSECTOR.device.model_copy(update={"parts": (), "mass": None})}
    )
    found = told(known=Things(), texts={"modular-dissector": nameless})
    assert not found.told
    assert found.pack is None
    assert found.risk is None
    assert found.cycle is None
    assert found.places == ()
    assert found.not_told == (
        "modular-dissector: its mass and material",
        "tray-mesh: mass, material and shape of what the devices lie in",
        "lidded container: what it weighs empty, what its floor is made of",
    )


@pytest.mark.parametrize(
    ("run", "why"),
    [
        (program(drying=None), "does not dry"),
        (program(kind="steam-gravity", drying={"time": "30 min"}), "drying by warm air is not covered"),
        (
            program(exposure={"temperature": "150 °C", "time": "5 min"}),
            "outside the published range 105 to 138",
        ),
        (program(drying={"time": "25 min", "vacuum": "0.5 kPa"}), "outside the published range 700 to 50000"),
        (program(kind="exposure"), "is no steam cycle"),
    ],
)
def test_a_cycle_outside_the_model_gets_a_sentence(run: Program, why: str) -> None:
    """No drying, warm air, too hot, too deep a vacuum or no steam: a sentence says so instead of a number."""
    found = told(run=run)
    assert not found.told
    assert found.pack is None
    assert why in found.not_told[0]


def test_a_set_without_one_cycle_gets_a_sentence() -> None:
    """Where the members share no cycle, the answer says so beside what else is missing."""
    asked = Asked(
        a_set(), {"micro-scissors": SCISSORS, "modular-dissector": DISSECTOR}, SITE, profile("eu"), Things()
    )
    found = estimate(asked, None)
    assert found.not_told[0] == "No one steam cycle here serves all its members."
    assert any("tray-mesh" in why for why in found.not_told)


def test_what_the_scale_shows_beyond_the_things_is_asked_for() -> None:
    """A weighed mass well above the sum means that something that condenses is not known."""
    assert told(a_set(mass="3.3 kg")).told
    found = told(a_set(mass="4.5 kg"))
    assert found.not_told == ("1.24 kg is in no thing: the scale showed 4.5 kg, the sum is 3.26 kg",)
    assert (found.mass.kg, found.mass.weighed) == (4.5, True)


def test_the_profile_decides_which_of_two_limits_is_in_force() -> None:
    """25 lb and 10 kg are both shown with source and edition; the profile puts one, or none, in force."""
    heavy = a_set(mass="10.5 kg")
    for name, in_force, kept in (("eu", "mass-container-europe", False), ("us", "mass-set-limit-us", True)):
        mass = told(heavy, limits=profile(name)).mass
        assert [(one.id, one.met) for one in mass.limits] == [
            ("mass-set-limit-us", True),
            ("mass-container-europe", False),
        ]
        assert [one.id for one in mass.limits if one.in_force] == [in_force]
        assert mass.kept is kept
        assert {one.source.edition for one in mass.limits} == {"2013", "2018"}
    uk = told(heavy, limits=profile("uk")).mass
    assert not any(one.in_force for one in uk.limits)
    assert uk.kept


def test_a_departments_own_limit_stands_with_its_reason() -> None:
    """A limit that the department has put in the published one's place is the one tested, with the reason."""
    own = profile("eu").override("mass-container-europe", 8.0, "Shelves at shoulder height.")
    mass = told(a_set(mass="8.5 kg"), limits=own).mass
    (ours,) = [one for one in mass.limits if one.in_force]
    assert (ours.met, ours.reason, ours.text) == (False, "Shelves at shoulder height.", "≤\u00a08\u00a0kg")


def test_the_published_gain_of_mass_stands_beside_the_estimate() -> None:
    """0.2 % of a metal load is shown in grams of this pack, and as kept, open or passed."""
    found = told()
    assert found.dryness is not None
    assert found.dryness.grams == pytest.approx(6.5, abs=0.1)
    assert found.dryness.stands == "open"
    wet = told(
        known=things(
            {"name": "bowl", "mass": "20 kg", "materials": ["PEEK"], "shape": "cup", "lies": "holding"}
        )
    )
    assert wet.dryness is not None
    assert (wet.dryness.stands, wet.risk) == ("passed", Risk.likely)
    assert wet.findings[0].level == "concern"
    assert wet.driver == "The most may stay on bowl."


def test_what_is_said_of_a_thing_goes_before_its_instruction() -> None:
    """What is known of a thing itself replaces what its text says, by part or by member."""
    found = told(
        known=things(
            {"name": "micro-scissors", "lies": "draining", "materials": ["stainless steel"]},
            {
                "name": "modular-dissector",
                "mass": "150 g",
                "materials": ["PEEK"],
                "shape": "tube",
                "depth": "4 mm",
            },
        )
    )
    scissors, dissector = found.places[:2]
    assert (scissors.lies, scissors.materials) == ("draining", ("stainless steel",))
    assert (dissector.name, dissector.kg, dissector.shape) == ("modular-dissector", 0.15, "tube")
    part = told(
        known=things({"name": "modular-dissector, insulated sleeve", "lies": "holding", "shape": "tube"})
    )
    assert [place.lies for place in part.places[1:4]] == ["level", "holding", "level"]


def test_what_the_set_lists_goes_before_the_text() -> None:
    """Parts, counts, masses and names of the set's own list are reckoned with."""
    parts = [{"part": "handle"}, {"part": "dissector insert", "count": 2, "mass": "20 g"}]
    member = {"instruction": "x", "name": "modular-dissector", "count": 2, "parts": parts}
    handle, insert, *_ = told(a_set(members=[member])).places
    assert handle.name == "modular-dissector, handle with ratchet × 2"
    assert insert.name == "modular-dissector, dissector insert × 4"
    assert (handle.kg, insert.kg) == pytest.approx((0.192, 0.08))
    whole = told(a_set(members=[{**member, "mass": "150 g"}])).places[0]
    assert whole.name == "modular-dissector × 2"
    assert whole.kg == pytest.approx(0.3)


def test_the_mass_of_the_packaging_with_its_trays() -> None:
    """What the set says of its packaging holds the trays: they are taken out once they are things."""
    open_packed = {"material": "aluminium"}
    apart = told(a_set(packaging_mass="3.1 kg"), things(packaging=open_packed))
    assert apart.places == told().places
    together = told(a_set(packaging_mass="3.1 kg"), things(things=[], packaging=open_packed))
    assert together.told
    assert together.places[-1].kg == pytest.approx(3.1)
    assert together.mass.kg == pytest.approx(apart.mass.kg)
    with pytest.raises(BadInput, match=r"trays and mats weigh 0\.9 kg, the packaging with them 800 g"):
        told(a_set(packaging_mass="800 g"), things(packaging=open_packed))


def test_a_member_without_its_text_is_refused() -> None:
    """Without its text a member is bad input, by its name."""
    with pytest.raises(BadInput, match="the instruction of 'tongs' is not given"):
        told(a_set(members=[{"instruction": "tongs"}]))


def test_own_assumptions_change_the_answer_and_carry_their_reason() -> None:
    """A department's own ends stand in the answer with the reason, and narrow the range."""
    seen = {"assumption": "out-container", "low": 0.6, "high": 0.7, "reason": "Weighed ten times in March."}
    before, after = told(), told(known=things(assumptions=[seen]))
    assert before.pack is not None
    assert after.pack is not None
    assert after.pack.high < before.pack.high
    (ours,) = [one for one in after.assumptions if one.reason]
    assert (ours.key, ours.low, ours.reason) == ("out-container", 0.6, "Weighed ten times in March.")


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        (
            {"assumptions": [{"assumption": "luck", "low": 0, "high": 1, "reason": "x"}]},
            "'luck' is no assumption",
        ),
        (
            {"assumptions": [{"assumption": "out-wrap", "low": 0.5, "high": 1.5, "reason": "x"}]},
            "0.5 to 1.5 is no range of out-wrap; expected two numbers in order, from 0 to 1",
        ),
        ({"things": [{"name": "a", "mass": "3 mm"}]}, "'3 mm' does not fit here"),
        ({"things": [{"name": "a", "mass": "0 g"}]}, "'0 g' does not fit here"),
        (
            {"things": [{"name": "a", "materials": ["linen"]}]},
            "'linen' is no material that the estimate knows",
        ),
        ({"things": [{"name": "a"}, {"name": "a"}]}, "things stand twice: a"),
    ],
)
def test_faults_of_a_things_file_are_told(fields: dict[str, Any], fault: str) -> None:
    """Unknown assumptions and materials, ends out of range, wrong units and doubled names are refused."""
    with pytest.raises(BadDocument, match=re.escape(fault)):
        validate(Things, fields, resource="things.yaml")


def test_packaging_that_contradicts_is_refused() -> None:
    """Things that speak of a wrap for a set in a container, and packaging that nobody has, are bad input."""
    with pytest.raises(BadInput, match=r"lies in lidded container \(container\), its things say wrap"):
        told(known=things(packaging={**CONTAINER, "kind": "wrap"}))
    with pytest.raises(BadInput, match="no packaging 'crate'"):
        told(a_set(packaging="crate"))


def test_a_stated_drying_vacuum_covers_gravity_too() -> None:
    """A gravity program that states its drying vacuum is reckoned with."""
    gravity = program(kind="steam-gravity")
    assert isinstance(gravity.drying, Drying)
    assert told(run=gravity).told
    site = SITE.model_copy(
        update={
            "machines": (Machine(id="s", name="S", kind=MachineKind.steam_sterilizer, programs=(gravity,)),)
        }
    )
    assert told(site=site, run=gravity).cycle is not None
