"""What the address of the page of trends asks for; all that the page shows stands there."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Literal, cast, get_args
from urllib.parse import parse_qs, urlencode

from debrief.cohorts.cohort import FILTERS, By, Cohort, Filter, Row, cohort, filter_named, measure_named
from debrief.cohorts.drawing import ChartName
from debrief.cohorts.kept import filters_named
from debrief.cohorts.trends import Trend, trend
from debrief.errors import BadSetting
from debrief.words import say

BYS = ("month", "quarter", "unit")
CHARTS = ("p", "xmr", "run", "g", "t", "km")
USUAL = "time_to_first_shock"
_BETWEEN = ("g", "t")
_MOST_LETTERS = 200


@dataclass(frozen=True)
class Asked:
    """A measure, what it is put together by, and which events; empty texts ask for nothing.

    ``phase``: labels at which phases begin, parted by commas; ``note``: what began at each, by semicolons.
    """

    measure: str = USUAL
    by: str = "month"
    chart: str = ""
    cohort: str = ""
    baseline: str = ""
    phase: str = ""
    note: str = ""
    where: Mapping[str, str] = field(default_factory=dict)

    @classmethod
    def of(cls, search: str | None) -> "Asked":
        """Read the part of an address behind the question mark; what it does not know is left out."""
        given = {key: values[0][:_MOST_LETTERS].strip() for key, values in _parsed(search).items()}
        own = {key: given[key] for key in _OWN if given.get(key)}
        found = cls(**own, where={key: given[key] for key in FILTERS if given.get(key)})
        return found if found.by in BYS else replace(found, by="month")

    def __str__(self) -> str:
        """Write it as that part of an address."""
        told = {key: getattr(self, key) for key in _OWN if getattr(self, key)} | dict(self.where)
        return f"?{urlencode(told)}"

    def texts(self) -> list[str]:
        """Return what is chosen beside a named cohort, as a cohort keeps it."""
        return [f"{key}={wanted}" for key, wanted in self.where.items()]

    @property
    def kind(self) -> By:
        """What rows are put together by, ``miss`` for charts of what lies between two."""
        return "miss" if self.chart in _BETWEEN else cast(By, self.by)

    def filters(self, named: Mapping[str, Any]) -> tuple[Filter, ...]:
        """Return the filters of the named cohort and those beside it.

        Raises
        ------
        BadSetting
            Where no cohort has that name, or a filter takes no such value.
        """
        return (*filters_named(named, self.cohort), *map(filter_named, self.texts()))

    def chosen(self, rows: list[Row], named: Mapping[str, Any], measure: str | None = None) -> Cohort:
        """Return the events that count, of this measure or of one beside it."""
        waits = self.chart == "km"
        by = None if waits else self.kind
        return cohort(rows, measure or measure_named(self.measure), self.filters(named), by, waits=waits)

    def made(self, chosen: Cohort) -> Trend:
        """Return the chart.

        Raises
        ------
        BadSetting
            As `trends.trend`.
        """
        if self.baseline and not (self.baseline.isascii() and self.baseline.isdecimal()):
            raise BadSetting(say("trends_page.no_number", read=self.baseline))
        chart = cast(ChartName, self.chart) if self.chart in get_args(ChartName) else None
        chart = None if self.by == "unit" and self.kind == "unit" else chart
        labels = [label for part in self.phase.split(",") if (label := part.strip())]
        made = trend(chosen, self.kind, chart, int(self.baseline) if self.baseline else None, labels)
        notes = dict(zip(labels, map(str.strip, self.note.split(";")), strict=False))
        phases = [
            replace(one, label=f"{one.label}: {notes[one.label]}" if notes.get(one.label) else one.label)
            for one in made.phases
        ]
        return replace(made, phases=tuple(phases))


_OWN: tuple[Literal["measure", "by", "chart", "cohort", "baseline", "phase", "note"], ...] = (
    *("measure", "by", "chart", "cohort"),
    *("baseline", "phase", "note"),
)


def _parsed(search: str | None) -> dict[str, list[str]]:
    return parse_qs((search or "").removeprefix("?"))
