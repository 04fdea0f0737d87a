"""Heat balances against the worked examples of a textbook.

Companion: Himmelblau, Basic Principles and Calculations in Chemical Engineering, ch. 24 (stored answers of a
public textbook-companion notebook, book pages not seen). The steel masses are computed.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from sinkside.science.heat import Mass, condensate_of_load, steam_rate_of_flow
from sinkside.science.steam import latent_heat

DATA: dict[str, Any] = json.loads(
    (Path(__file__).parent / "data" / "condensation.json").read_text(encoding="utf-8")
)


def test_batch_heated_by_steam() -> None:
    """Himmelblau 24.7: 0.174 kg of steam for each kilogram of the batch, its losses included."""
    case = DATA["batch_heat"][0]
    steam = condensate_of_load(
        [Mass(case["m_kg"], case["cp_kJ_kgK"] * 1000.0)],
        start_c=case["T0"],
        end_c=case["T1"],
        latent_heat_j_kg=case["dh_kJ_kg"] * 1000.0,
        loss_w=case["loss_kJ_s"] * 1000.0,
        duration_s=case["time_s"],
    )
    assert steam / case["m_kg"] == pytest.approx(case["recomputed"])
    assert round(steam / case["m_kg"], 3) == case["companion_answer"]


def continuous(loss_kw: float) -> float:
    case = DATA["continuous"][0]
    rate_kg_s = steam_rate_of_flow(
        case["m_kg_min"] / 60.0,
        enthalpy_in_j_kg=case["h1"] * 1000.0,
        enthalpy_out_j_kg=case["h2"] * 1000.0,
        latent_heat_j_kg=(case["hg"] - case["hf"]) * 1000.0,
        loss_w=loss_kw * 1000.0,
    )
    return rate_kg_s * 60.0


def test_continuous_heating_pays_for_its_loss() -> None:
    """Himmelblau 24.8: 7.172 kg of steam a minute, and not the 7.08 of a loss with the sign turned."""
    case = DATA["continuous"][0]
    assert continuous(case["loss_kW"]) == pytest.approx(case["expected"])
    assert round(continuous(case["loss_kW"]), 2) != case["companion_answer_kg_min"]


def test_a_loss_adds_steam() -> None:
    """The balance without loss lies below the one with it, by exactly the loss over the latent heat."""
    case = DATA["continuous"][0]
    extra = case["loss_kW"] * 60.0 / (case["hg"] - case["hf"])
    assert continuous(case["loss_kW"]) - continuous(0.0) == pytest.approx(extra)


@pytest.mark.parametrize("case", DATA["steel_mass_computed"], ids=lambda case: str(case["cp"]))
def test_steel_heated_to_134_c(case: dict[str, float]) -> None:
    """Ten kilograms of steel condense the computed mass of steam, with our own latent heat."""
    steam = condensate_of_load(
        [Mass(case["m_kg"], case["cp"] * 1000.0)],
        start_c=case["T0"],
        end_c=case["T1"],
        latent_heat_j_kg=latent_heat(case["T1"]),
    )
    assert steam == pytest.approx(case["kg"], rel=1e-6)
