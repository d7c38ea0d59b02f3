"""Figures and what is asked of them, as a copy tells them."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from debrief.measures import MEASURES
from debrief.model.contract import Figure, Report, SourceOut, Target
from debrief.targets import TargetRow, editions, load
from debrief.teaching.happened import stretches, verdict
from debrief.teaching.naming import Names
from debrief.teaching.sayings import own_sentences
from debrief.teaching.tally import Tally, number
from debrief.words import say

UNITS_OF_FIGURES = {measure.name: measure.unit for measure in MEASURES} | {"completeness": "1"}
"""The figures that there are, and their units."""

_OF_AMOUNTS = ("J", "J/kg", "mg", "mg/kg", "mmHg", "mm")
"""Units of figures that come from amounts of marks."""


def edition_name(name: str) -> str:
    """Return the name of an edition that ships; of another one, that it is another."""
    return name if name in editions() else say("teaching.other_edition")


@dataclass
class Judged:
    """Builds the copy of figures. ``lost``: old names of marks of which an amount was left out."""

    names: Names
    tally: Tally
    sources: Mapping[str, str]
    lost: set[str]

    def figure(self, one: Figure, apart: Iterable[Report]) -> Figure:
        """Return a figure; one that comes from an amount that was left out is held back with it."""
        held = self._from_lost(one)
        value = one["value"]
        return Figure(
            name=one["name"],
            value=None if held else value if isinstance(value, bool) else number(value),
            unit=UNITS_OF_FIGURES[one["name"]],
            low=None if held else number(one["low"]),
            high=None if held else number(one["high"]),
            certainty="assessed" if one["certainty"] == "assessed" else "not_assessed",
            verdict="no_data" if held else verdict(one["verdict"]),
            because=say("teaching.held_back") if held else self._because(one["because"], apart),
            settled_by=None if held else self._settled_by(one["settled_by"]),
            target=None if one["target"] is None else self._target(one["target"], held),
            other_targets=[self._target(target, held) for target in one["other_targets"]],
            window=stretches(one["window"]),
            marks=self.names.marks(one["marks"]),
        )

    def _from_lost(self, one: Figure) -> bool:
        """Return whether a value comes from an amount that was left out; a run of marks may hold it."""
        if one["value"] is None or UNITS_OF_FIGURES[one["name"]] not in _OF_AMOUNTS:
            return False
        return any(mark in self.lost or (self.lost and self.names.is_run(mark)) for mark in one["marks"])

    def _because(self, text: str | None, apart: Iterable[Report]) -> str | None:
        for report in apart:
            own = [source for source in report["sources"] if source["group"] == 1]
            told = say("clocks.from_apart", files=", ".join(source["file"] for source in own))
            if text and text.startswith(told):
                names = (self.names.source(source["source_id"]) or "" for source in own)
                rest = own_sentences(text.removeprefix(told).strip())
                return " ".join(
                    part for part in (say("clocks.from_apart", files=", ".join(names)), rest) if part
                )
        return self._counted(text, own_sentences(text))

    def _settled_by(self, text: str | None) -> str | None:
        for key in ("clock", "cell", "lag", "part_clock", "part_cell", "part_lag"):
            for old, new in self.sources.items():
                if text == say(f"settling.{key}", source=old):
                    return say(f"settling.{key}", source=new)
        return self._counted(text, own_sentences(text))

    def _counted(self, text: str | None, kept: str | None) -> str | None:
        if text and not kept:
            self.tally.drop("sentence")
        return kept

    def _target(self, one: Target, held: bool) -> Target:
        row = _shipped().get(one["id"])
        if row is None:
            self.tally.drop("site_target")
        shown = row or _of_site(one)
        return Target(
            id=row.id if row else "site",
            rule=shown.rule,
            low=number(one["low"]),
            low_included=bool(one["low_included"]),
            high=number(one["high"]),
            high_included=bool(one["high_included"]),
            unit=shown.unit,
            kind=shown.kind,
            edition=shown.edition,
            citation=shown.citation,
            basis=shown.basis,
            judged=bool(one["judged"]),
            verdict="no_data" if held else verdict(one["verdict"]),
        )


def called(sources: Iterable[SourceOut], names: Names) -> dict[str, str]:
    """Return what sentences may call each source, and what it is called in the copy."""
    found: dict[str, str] = {}
    for source in sources:
        new = names.source(source["source_id"]) or ""
        found |= dict.fromkeys((source["name"] or source["file"], source["file"]), new)
    return found


def _of_site(one: Target) -> TargetRow:
    """Return a limit of a site's own as a row that says nothing of the site."""
    units = set(UNITS_OF_FIGURES.values()) | {"J/kg", "mg/kg"}
    return TargetRow(
        id="site",
        edition=say("targets.site"),
        kind="site",
        figures=(),
        unit=one["unit"] if one["unit"] in units else "",
        low=number(one["low"]),
        low_included=bool(one["low_included"]),
        high=number(one["high"]),
        high_included=bool(one["high_included"]),
        populations=(),
        citation=say("teaching.site_citation"),
        basis="seen",
    )


@cache
def _shipped() -> dict[str, TargetRow]:
    """Return the targets that ship, by id, as they are without a site's word."""
    return {row.id: row for name in editions() for row in load(name).targets}
