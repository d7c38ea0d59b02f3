"""What happened, as a copy tells it: marks, compressions, pauses, shocks and doses."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from typing import cast, get_args

from debrief.model import contract
from debrief.model.contract import Verdict
from debrief.model.structure import CLOSED, OPENED, WHY_NOT
from debrief.teaching.amounts import amount
from debrief.teaching.naming import Names
from debrief.teaching.tally import Tally, number, seconds
from debrief.words import CAUSES, DETAILS, DRUGS, KINDS, RHYTHMS, UNITS

FREE = "free"
"""What ``detail`` holds of kinds whose text anybody may have written."""

VERDICTS: tuple[str, ...] = get_args(Verdict)

_DETAILS: dict[str, Collection[str]] = {"rhythm": RHYTHMS, "drug": DRUGS, "cause": CAUSES, **DETAILS}


def verdict(given: object) -> Verdict:
    """Return a verdict, ``no_data`` for what is none."""
    return cast(Verdict, given) if given in VERDICTS else "no_data"


def stretches(given: list[list[float]]) -> list[list[float]]:
    """Return stretches, from and to. [s]"""
    return [[seconds(start), seconds(end)] for start, end in given]


def episode(one: contract.Episode) -> contract.Episode:
    """Return a stretch of arrest."""
    return contract.Episode(
        start=seconds(one["start"]),
        end=seconds(one["end"]),
        opened_by=one["opened_by"] if one["opened_by"] in OPENED else OPENED[0],
        closed_by=one["closed_by"] if one["closed_by"] in CLOSED else CLOSED[-1],
        implied=bool(one["implied"]),
    )


def minute(one: contract.Minute) -> contract.Minute:
    """Return one minute."""
    delivered = number(one["delivered"])
    return contract.Minute(
        start=seconds(one["start"]),
        end=seconds(one["end"]),
        fraction=number(one["fraction"]),
        delivered=None if delivered is None else int(delivered),
        longest_pause=number(one["longest_pause"]),
        coverage=seconds(one["coverage"]),
    )


@dataclass
class Happened:
    """Builds the copy of what happened. ``passed``: notes by the old name of their mark.

    ``lost`` collects the old names of marks of which an amount was left out.
    """

    names: Names
    tally: Tally
    passed: Mapping[str, str]
    lost: set[str] = field(default_factory=set)

    def occurrence(self, one: contract.Occurrence, nth: int, longest_s: float) -> contract.Occurrence:
        """Return an occurrence. ``longest_s``: how long the event is, which nothing in it exceeds. [s]"""
        kind = one["kind"] if one["kind"] in KINDS else "unmapped"
        holds = KINDS[kind].detail
        if holds == FREE:
            detail = next((self.passed[name] for name in one["marks"] if name in self.passed), None)
            if detail is None and one["detail"]:
                self.tally.drop("note")
        else:
            detail = self.tally.word(one["detail"], _DETAILS.get(holds, ()))
        unit = self.tally.word(one["unit"], UNITS)
        length = number(one["length"])
        if length is not None and not 0 <= length <= longest_s:
            self.tally.drop("length")
            length = None
        return contract.Occurrence(
            id=f"o{nth}",
            kind=kind,
            detail=detail,
            amount=self._amount(one, unit, kind, detail),
            unit=unit,
            route=self.tally.word(one["route"], DETAILS["route"]),
            length=length,
            time=seconds(one["time"]),
            low=seconds(one["low"]),
            high=seconds(one["high"]),
            lead=self.names.mark(one["lead"]) or "",
            marks=self.names.marks(one["marks"]),
        )

    def _amount(
        self, one: contract.Occurrence, unit: str | None, kind: str, detail: str | None
    ) -> float | None:
        kept = amount(one["amount"], unit, kind, detail)
        if kept is None and one["amount"] is not None:
            self.tally.drop("amount")
            self.lost.update(one["marks"])
        return kept

    def first_rhythm(self, one: contract.FirstRhythm | None) -> contract.FirstRhythm | None:
        """Return the first rhythm."""
        if one is None or one["rhythm"] not in RHYTHMS:
            return None
        rhythm = RHYTHMS[one["rhythm"]]
        return contract.FirstRhythm(
            rhythm=rhythm.name, shockable=rhythm.shockable, marks=self.names.marks(one["marks"])
        )

    def hands_on(self, one: contract.HandsOn) -> contract.HandsOn:
        """Return a stretch of compressions."""
        return contract.HandsOn(
            start=seconds(one["start"]),
            end=seconds(one["end"]),
            source_id=self.names.source(one["source_id"]) or "",
            manual=bool(one["manual"]),
        )

    def pause(self, one: contract.Pause) -> contract.Pause:
        """Return a pause."""
        return contract.Pause(
            start=seconds(one["start"]),
            end=seconds(one["end"]),
            length=seconds(one["length"]),
            cause=one["cause"] if one["cause"] in CAUSES else "unexplained",
            also=[cause for cause in one["also"] if cause in CAUSES],
            episode=int(one["episode"]),
            marks=self.names.marks(one["marks"]),
        )

    def shock(self, one: contract.Shock, figures: Mapping[str, str]) -> contract.Shock:
        """Return a shock. ``figures``: the figures that there are, by name."""
        return contract.Shock(
            time=seconds(one["time"]),
            energy=amount(one["energy"], "J", "shock", None),
            rhythm=one["rhythm"] if one["rhythm"] in RHYTHMS else None,
            episode=None if one["episode"] is None else int(one["episode"]),
            pre_shock_pause=number(one["pre_shock_pause"]),
            post_shock_pause=number(one["post_shock_pause"]),
            peri_shock_pause=number(one["peri_shock_pause"]),
            verdicts={name: verdict(each) for name, each in one["verdicts"].items() if name in figures},
            marks=self.names.marks(one["marks"]),
        )

    def dose(self, one: contract.Dose) -> contract.Dose:
        """Return a dose."""
        drug = one["drug"] if one["drug"] in DRUGS else None
        unit = one["unit"] if one["unit"] in UNITS else None
        return contract.Dose(
            time=seconds(one["time"]),
            drug=drug or "unknown",
            dose=amount(one["dose"], unit, "drug", drug),
            unit=unit,
            route=one["route"] if one["route"] in DETAILS["route"] else None,
            counted=bool(one["counted"]),
            why_not=one["why_not"] if one["why_not"] in WHY_NOT else None,
            gap=number(one["gap"]),
            verdict=None if one["verdict"] is None else verdict(one["verdict"]),
            episode=None if one["episode"] is None else int(one["episode"]),
            marks=self.names.marks(one["marks"]),
        )
