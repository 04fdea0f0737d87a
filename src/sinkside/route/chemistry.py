"""Chemicals held against the solution that an instruction names, and against what the device bears."""

from __future__ import annotations

import functools
from collections.abc import Iterable

from sinkside.department import Chemical, ChemicalKind, Department
from sinkside.quantities import Quantity, Range
from sinkside.route import proposals, sizes
from sinkside.route.appraisal import Appraisal, Candidate, Refusal, Remark, Repair, bound
from sinkside.route.document import ChosenFigure, ResourceKind
from sinkside.route.needs import ChemicalNeed
from sinkside.route.other_machines import range_words
from sinkside.route.phrases import Phrase, Words
from sinkside.route.remarks import CONTACT_TOO_SHORT
from sinkside.route.windows import Window, amount, span
from sinkside.route.words import kind_words


def kinds_fit(chemical: Chemical, chemistry: tuple[tuple[ChemicalKind, ...], ...]) -> bool:
    """Whether a chemical is all that one of the alternatives asks for."""
    return any(set(kinds) <= set(chemical.kinds) for kinds in chemistry)


def chemical_faults(
    chemical: Chemical, *, ph: tuple[Window, ...], chloride: Window | None, materials: frozenset[str]
) -> Iterable[Words]:
    """What of a chemical the device does not bear: pH in use, chloride, materials."""
    if ph and chemical.ph is None:
        yield Phrase("its pH in use is not known")
    elif chemical.ph is not None and not all(_bears(window, chemical.ph) for window in ph):
        yield Phrase("its pH in use is {ph}", {"ph": range_words(chemical.ph)})
    if chloride and chemical.chloride and not chloride.admits(amount(chemical.chloride, "mg/L")):
        yield Phrase("it has {chloride} of chloride", {"chloride": str(chemical.chloride)})
    excluded = sorted(name for name in chemical.excludes if _is_among(name, materials))
    if excluded:
        yield Phrase("it must not touch {materials}", {"materials": excluded})


def _bears(window: Window, ph: Range) -> bool:
    """Whether a pH in use stays in the window, or lies around its one value."""
    low, high = span(ph, "pH")
    return window.is_within(low, high) if window.exact else window.covers(low, high)


def _is_among(excluded: str, materials: frozenset[str]) -> bool:
    """Whether a material is one of the device's, as a word of its name: aluminium, anodised aluminium."""
    words = set(excluded.casefold().split())
    return any(words <= set(material.split()) for material in materials)


def appraise_chemical(need: ChemicalNeed, department: Department) -> Appraisal:
    """The chemicals: kind, pH in use, dose, temperature, chloride, materials."""
    thing = functools.partial(proposals.thing_for, need)
    words = Phrase("A chemical: {wanted}.", {"wanted": need.wanted})
    found = Appraisal(purchase=Repair(words, sizes.CHEMICAL, thing))
    for chemical in department.chemicals:
        if not kinds_fit(chemical, need.chemistry):
            kinds = kind_words(chemical.kinds)
            found.refusals.append(
                Refusal(chemical.id, chemical.name, (Phrase("it is {kinds}", {"kinds": Phrase(kinds)}),))
            )
            continue
        faults = tuple(_faults(need, chemical))
        if faults:
            found.refusals.append(Refusal(chemical.id, chemical.name, faults))
        else:
            found.candidates.append(_candidate(need, chemical))
    return found


def _faults(need: ChemicalNeed, chemical: Chemical) -> Iterable[Words]:
    ph = (*need.ph, *need.own_ph)
    yield from chemical_faults(chemical, ph=ph, chloride=need.chloride, materials=need.materials)
    if need.dose and chemical.dose and not _dose_fits(need.dose, chemical.dose):
        yield Phrase("it is dosed at {dose}", {"dose": range_words(chemical.dose)})
    if chemical.temperature:
        low, high = span(chemical.temperature, "°C")
        if not all(window.meets(low, high) for window in need.temperatures):
            yield Phrase("it works at {range}", {"range": range_words(chemical.temperature)})


def _dose_fits(asked: Window, dose: Range) -> bool:
    """Whether the stated dose and the chemical's own have a value in common, in units of the same kind."""
    return _by_mass(dose) == (asked.unit == "g/L") and asked.meets(*span(dose, asked.unit))


def _by_mass(dose: Range) -> bool:
    return any(end is not None and end.unit in {"g/L", "mg/L"} for end in (dose.min, dose.max))


def _candidate(need: ChemicalNeed, chemical: Chemical) -> Candidate:
    kinds = kind_words(chemical.kinds)
    return Candidate(
        bindings=(bound(ResourceKind.chemical, chemical.id, chemical.name),),
        why=Phrase("{chemical}: {kinds}", {"chemical": chemical.name, "kinds": Phrase(kinds)}),
        uses=(ChosenFigure(required=need.dose.figure, use=_dose(need.dose, chemical)),) if need.dose else (),
        remarks=_remarks(need, chemical),
        excess=float(len(chemical.kinds)),
    )


def _dose(asked: Window, chemical: Chemical) -> Quantity:
    """The lowest dose that both the instruction and the chemical allow."""
    if chemical.dose and chemical.dose.min and amount(chemical.dose.min, asked.unit) > asked.low:
        return chemical.dose.min
    return asked.with_lowest()


def _remarks(need: ChemicalNeed, chemical: Chemical) -> tuple[Remark, ...]:
    contact = chemical.contact_time
    if contact and need.contact and amount(contact, "s") > need.contact.high:
        evidence = {"contact": str(contact), "chemical": chemical.name}
        return (Remark(CONTACT_TOO_SHORT, evidence),)
    return ()
