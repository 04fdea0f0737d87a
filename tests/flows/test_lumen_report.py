"""What flushes and blows of a text come to: against arithmetic by hand, and what is said if it is open."""

from __future__ import annotations

import math

import fluids
import pytest

from sinkside.department import Air, Department
from sinkside.draft import draft_text
from sinkside.flows import NOTES, Computed, Conditions, Formula, LumenReport, LumenWork, lumen_report
from sinkside.instruction import Instruction
from sinkside.quantities import Quantity, Range
from support.pace import quiet_s

TEXT = """PIPIT suction tube

The tube has one lumen of 2 mm bore and 200 mm length{rod}.

Cleaning
1. Flush the lumen {flush}.
2. Rinse with demineralised water.
Drying
3. Blow medical air through the lumen {blow}.
"""


def _text(flush: str = "with 60 mL of water", blow: str = "at 1 bar for 1 min", rod: str = "") -> Instruction:
    return draft_text(TEXT.format(flush=flush, blow=blow, rod=rod))


def _work(report: LumenReport, step: str) -> LumenWork:
    return next(work for work in report.works if work.step == step)


def _value(work: LumenWork, what: str) -> Computed:
    return next(value for value in work.values if value.what.startswith(what))


def test_exchanges_are_volume_over_volume() -> None:
    """60 mL through a bore of 2 mm × 200 mm, which holds 0.628 mL, is 95 exchanges: by hand."""
    work = _work(lumen_report(_text()), "s1")
    holds = math.pi / 4.0 * 0.2**2 * 20.0
    assert _value(work, "Holds").high == pytest.approx(holds)
    assert _value(work, "Exchanges").low == pytest.approx(60.0 / holds)
    assert _value(work, "Still the old liquid").high == pytest.approx(100.0 / (4.0 * 60.0 / holds))


def test_a_flush_in_a_stated_time_has_the_pressure_of_fluids() -> None:
    """60 mL in 20 s of water of 20 °C: pressure as fluids gives it (64/Re), to 1 %."""
    work = _work(lumen_report(_text("with 60 mL of water of 20 °C in 20 s")), "s1")
    speed = 3e-6 / (math.pi / 4.0 * 0.002**2)
    reynolds = fluids.Reynolds(V=speed, D=0.002, rho=998.2, mu=1.0016e-3)
    assert reynolds < 2300.0
    expected = 64.0 / reynolds * 0.2 / 0.002 * 998.2 * speed**2 / 2.0 / 1000.0
    pressure = _value(work, "Pressure")
    assert pressure.is_one
    assert pressure.high == pytest.approx(expected, rel=0.01)
    assert all("without a time" not in sentence for sentence in work.said)


def test_a_volume_without_a_time_says_what_stays_open() -> None:
    """Speed and force are then a range over how fast a hand is, and the sentence says so."""
    work = _work(lumen_report(_text()), "s1")
    speed, force = _value(work, "Speed"), _value(work, "Force on the plunger")
    assert speed.high / speed.low == pytest.approx(12.0)
    assert 0.0 < force.low < force.high
    assert "A volume without a time leaves speed" in work.said[0]
    slower = lumen_report(_text(), None, Conditions(by_hand_s=(60.0, 60.0)))
    assert _value(_work(slower, "s1"), "Speed").is_one


def test_a_rod_makes_a_range_from_the_middle_to_the_wall() -> None:
    """Around a rod the pressure lies between that of a rod in the middle and one against the wall."""
    text = _text("with 60 mL of water of 20 °C in 60 s")
    lumen = text.device.features[0].model_copy(update={"rod": Quantity.parse("1 mm")})
    with_rod = text.model_copy(update={"device": text.device.model_copy(update={"features": (lumen,)})})
    around, empty = (_value(_work(lumen_report(one), "s1"), "Pressure") for one in (with_rod, text))
    assert empty.high < around.low < around.high
    assert around.high / around.low == pytest.approx(6064.0 / 2909.0, rel=0.01)


def test_a_lumen_without_its_length_is_asked_for() -> None:
    """No figure is guessed where the text gives no length; the maker is asked."""
    text = draft_text(
        TEXT.replace(" and 200 mm length", "").format(flush="with 60 mL", blow="at 1 bar", rod="")
    )
    work = _work(lumen_report(text), "s1")
    assert work.values == ()
    assert work.said == (f"The text gives no length of “{work.lumen}”: ask the maker.",)


def test_a_closed_jaw_is_said() -> None:
    """Where the step has the jaw closed, its way out is in no figure."""
    text = draft_text(
        TEXT.replace("one lumen", "a jaw and one lumen").format(
            flush="with the jaw closed with 60 mL of water", blow="at 1 bar", rod=""
        )
    )
    assert any("jaw is closed" in sentence for sentence in _work(lumen_report(text), "s1").said)


def test_two_lumens_share_one_flush() -> None:
    """Of two lumens of one length that begin at one place the double bore takes 16 parts of 17: by hand."""
    text = _text("with 20 mL of water of 20 °C in 60 s")
    wide = text.device.features[0]
    narrow = wide.model_copy(update={"id": "lumen-2", "name": "side channel", "bore": Quantity.parse("1 mm")})
    device = text.device.model_copy(update={"features": (wide, narrow)})
    step = text.steps[0].model_copy(update={"on": ()})
    both = text.model_copy(update={"device": device, "steps": (step, *text.steps[1:])})
    works = [work for work in lumen_report(both).works if work.step == "s1"]
    shares = [_value(work, "Share of the flush") for work in works]
    assert shares[0].low == pytest.approx(1600.0 / 17.0, rel=0.01)
    assert shares[1].high == pytest.approx(100.0 / 17.0, rel=0.01)


def test_air_of_the_department_counts_where_the_text_is_silent() -> None:
    """Without a pressure in the text that of the air line is taken; without both nothing is computed."""
    text = _text(blow="until dry")
    step = next(work.step for work in lumen_report(text).works if work.step != "s1")
    assert _work(lumen_report(text), step).values == ()
    pressure = Range(min=Quantity.parse("0.5 bar"), max=Quantity.parse("1.5 bar"))
    line = Air(id="air", name="Medical air", grade="medical", pressure=pressure)
    work = _work(lumen_report(text, Department(name="Quay", air=(line,))), step)
    air, lasts = _value(work, "Air"), _value(work, "An even film lasts")
    assert 0.0 < air.low < air.high
    assert 0.0 < lasts.low < lasts.high
    assert "The stated time holds" in work.said[0]


def test_more_pressure_dries_sooner() -> None:
    """The same film lasts a shorter time in more air."""
    times = []
    for bar in (0.3, 1.0, 2.0):
        report = lumen_report(_text(blow=f"at {bar} bar for 1 min"))
        times.append(_value(report.works[-1], "An even film lasts").high)
    assert times == sorted(times, reverse=True)


def test_every_number_has_its_formula_beside_it() -> None:
    """Name, source and range of every formula that was used are in the report."""
    report = lumen_report(_text())
    used = {value.formula for work in report.works for value in work.values}
    assert used == set(report.formulas)
    assert set(NOTES) == set(Formula)
    assert all(note.name and note.source and note.covers for note in NOTES.values())


def test_a_page_computes_within_its_time() -> None:
    """A text with ten flushes and blows takes 20 ms of processor once warm, as a page needs it."""
    text = _text()
    many = text.model_copy(
        update={
            "steps": tuple(
                step.model_copy(update={"id": f"s{n}"})
                for n, step in enumerate(text.steps * 5)
                if step.id != "s2"
            )
        }
    )
    lumen_report(many)
    assert quiet_s(lambda: lumen_report(many), counts=5) < 0.020
