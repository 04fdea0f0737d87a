"""The tables behind an estimate: every figure confesses where it comes from."""

from __future__ import annotations

from pathlib import Path

import pytest

from sinkside.errors import BadInput
from sinkside.moisture.document import Risk
from sinkside.moisture.tables import assumptions, formulas, material, materials, materials_said
from sinkside.moisture.things import Lie, Shape

WORDS = (Path(__file__).parents[2] / "docs" / "words.md").read_text("utf-8")


def test_every_assumption_is_confessed() -> None:
    """Each assumption has two ends in order, says what it is, and is marked common practice."""
    for one in assumptions().values():
        assert 0.0 <= one.low <= one.high
        assert one.unit != "1" or one.high <= 1.0
        assert one.context.endswith(".")
        assert one.source.how_read == "common-practice"


def test_every_shape_and_way_of_lying_has_its_assumptions() -> None:
    """No shape and no way of lying is without the figures that the estimate asks for."""
    wanted = {f"stays-{shape.value}-{lies.value}" for shape in Shape for lies in Lie}
    wanted |= {f"{what}-{shape.value}" for shape in Shape for what in ("reach", "depth")}
    wanted |= {
        f"{what}-{kind}" for kind in ("container", "wrap", "pouch") for what in ("inside", "out", "floor")
    }
    assert wanted - set(assumptions()) == set()


def test_every_material_and_formula_names_its_source() -> None:
    """Each material and each formula cites an entry of the bibliography and says how it was read."""
    for source in (one.source for table in (materials(), formulas()) for one in table.values()):
        assert source.title
        assert source.how_read in {"read", "computed", "second-hand", "memory", "common-practice"}


@pytest.mark.parametrize(
    ("key", "heat", "conductivity"),
    [
        ("stainless-steel", (460.0, 515.0), (14.0, 17.0)),
        ("martensitic-steel", (460.0, 500.0), (24.0, 30.0)),
        ("titanium", (520.0, 570.0), (6.5, 22.0)),
        ("aluminium", (875.0, 910.0), (115.0, 240.0)),
        ("brass", (375.0, 405.0), (100.0, 160.0)),
        ("glass", (750.0, 840.0), (1.0, 1.4)),
        ("ceramic", (765.0, 880.0), (18.0, 40.0)),
        ("ptfe", (960.0, 1100.0), (0.2, 0.4)),
        ("silicone", (1000.0, 1500.0), (0.15, 0.3)),
    ],
)
def test_materials_lie_where_other_handbooks_have_them(
    key: str, heat: tuple[float, float], conductivity: tuple[float, float]
) -> None:
    """Each material lies within what other handbooks give near room temperature.

    Incropera, Fundamentals of Heat and Mass Transfer, tables A.1 to A.3, and a public heat transfer data book
    for aluminium alloys and brass; from memory but for the last, hence ranges.
    """
    known = materials()[key]
    assert heat[0] <= known.heat_j_kgk <= heat[1]
    assert conductivity[0] <= known.conductivity_w_mk <= conductivity[1]


def test_metals_conduct_and_plastics_do_not() -> None:
    """Heat travels along metals and alumina; plastics, silicone and glass hold it back."""
    poor = {key for key, one in materials().items() if not one.conducts}
    assert poor == {"peek", "polysulphone", "polyacetal", "ptfe", "polypropylene", "silicone", "glass"}


@pytest.mark.parametrize(
    ("said", "key"),
    [
        ("Stainless steel", "stainless-steel"),
        ("stainless steel 1.4301", "stainless-steel"),
        ("martensitic stainless steel 1.4021", "martensitic-steel"),
        ("Ti-6Al-4V", "titanium"),
        ("PEEK, 30 % glass", "peek"),
        ("aluminum, anodized", "aluminium"),
        ("PPSU", "polysulphone"),
    ],
)
def test_a_makers_words_find_the_material(said: str, key: str) -> None:
    """Names as makers write them lead to a material; a number of steel before the plain word."""
    assert material(said).key == key


def test_words_that_name_no_material_are_refused() -> None:
    """Unknown words, and materials that take water up, are refused with what was expected."""
    for said in ("unobtainium", "linen", "paper", "wood", "pompadour"):
        with pytest.raises(BadInput, match="no material that the estimate knows; expected one of titanium"):
            material(said)
    assert materials_said(("linen",)) == ()


def test_a_coating_weighs_nothing_beside_what_it_covers() -> None:
    """A coating is left out beside what it covers, and kept where it is all that is said."""
    assert [one.key for one in materials_said(("stainless steel", "PFA coating"))] == ["stainless-steel"]
    assert [one.key for one in materials_said(("PTFE coated",))] == ["ptfe"]


def test_every_word_is_explained() -> None:
    """docs/words.md explains each shape, each way of lying and each word of risk."""
    assert [one.value for kind in (Shape, Lie, Risk) for one in kind if f"`{one.value}`" not in WORDS] == []
