"""What is usually given: doses and energies that the targets of an edition name, each with its source."""

from dataclasses import dataclass

from debrief.targets.edition import Edition
from debrief.targets.row import PER_KG, TargetRow

ENERGIES = ("first_shock_energy", "energy_per_kg")
FIRST_OF_SEVERAL = ("amiodarone", "lidocaine")
"""Drugs of which targets name the first dose, whichever of them it is."""


@dataclass(frozen=True)
class Usual:
    """What somebody asks to be given. ``low`` and ``high`` are null where only the other is named.

    Both are in ``unit``; null as well where they go by a weight that is not known.
    """

    row: TargetRow
    low: float | None
    high: float | None
    unit: str

    @property
    def amount(self) -> float | None:
        """The one amount that is asked for; null for a range, and for a target from memory."""
        return self.low if self.low == self.high and self.row.judged else None


def usual(
    edition: Edition, population: str, weight_kg: float | None, kind: str, detail: str | None, number: int
) -> Usual | None:
    """Return what an edition asks to be given to somebody, null where it names nothing.

    Parameters
    ----------
    edition
        The targets.
    population, weight_kg
        To whom. [kg]
    kind, detail
        The kind of mark (``drug``, ``shock``), and which drug.
    number
        Which of its kind it is, from 1: shocks, doses of this drug, or of `FIRST_OF_SEVERAL`.
    """
    rows = [row for row in edition.targets if population in row.populations]
    if kind == "drug" and detail == "epinephrine":
        fixed = next((row for row in rows if row.dose_mg is not None), None)
        if fixed:
            return Usual(fixed, fixed.dose_mg, fixed.dose_mg, "mg")
        found = [row for row in rows if "dose_per_kg" in row.figures]
    elif kind == "drug" and detail in FIRST_OF_SEVERAL and number == 1:
        found = [row for row in rows if row.when == (f"{detail}_first",)]
    elif kind == "shock":
        found = _energies(rows, number)
    else:
        return None
    return _for(found[0], weight_kg) if found else None


def _energies(rows: list[TargetRow], number: int) -> list[TargetRow]:
    """Return the targets that speak of the energy of a shock; one that names no shock speaks of the first."""
    speaking = [row for row in rows if not row.when and {*ENERGIES} & {*row.figures}]
    spans = [row.shocks or (1, 1) for row in speaking]
    return [row for row, (first, last) in zip(speaking, spans, strict=True) if first <= number <= last]


def _for(row: TargetRow, weight_kg: float | None) -> Usual:
    """Return a target for somebody of a weight, without the tolerance with which it is judged."""
    if not row.unit.endswith(PER_KG):
        return Usual(row, row.low, row.high, row.unit)

    def whole(limit: float | None) -> float | None:
        if limit is None or not weight_kg:
            return None
        given = limit * weight_kg
        return float(f"{given if row.most is None else min(given, row.most):.12g}")

    return Usual(row, whole(row.low), whole(row.high), row.unit.removesuffix(PER_KG))
