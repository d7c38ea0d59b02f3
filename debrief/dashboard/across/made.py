"""What the page of trends shows, before it is shown: made from the registry for one address."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from debrief import targets
from debrief.cohorts.cohort import Cohort, Row
from debrief.cohorts.kept import COHORT, gaps_kept, rows_kept
from debrief.cohorts.survival import Curve, kaplan_meier
from debrief.cohorts.trends import Trend
from debrief.dashboard.across.asked import Asked
from debrief.dashboard.reports import Reports
from debrief.errors import BadSetting
from debrief.picture.chart import lay_chart
from debrief.picture.chart_words import latest
from debrief.picture.curve import lay_curve
from debrief.picture.plain import Picture
from debrief.registry.store import Registry
from debrief.talk.across import Held, talks_held
from debrief.words import say

BESIDE = {
    "time_to_first_shock": "registry_first_shock",
    "time_to_first_epinephrine": "registry_epinephrine",
    "time_to_first_compression": "registry_first_compression",
    "time_to_advanced_airway": "registry_airway_confirmed",
}
"""The registry's own measure of what a figure is about."""


@dataclass(frozen=True)
class Made:
    """A trend over a registry, or how many still wait, with what stands beside it."""

    registry: Registry
    asked: Asked
    rows: Sequence[Row]
    cohort: Cohort
    whole: Trend
    curve: Curve | None
    beside: Cohort | None

    @cached_property
    def trend(self) -> Trend:
        """The trend as far as it is drawn; ``whole`` has all its points."""
        return latest(self.whole)

    def picture(self, width: int) -> Picture | None:
        """Return the chart; null where nothing can be drawn."""
        if self.curve is not None:
            return lay_curve(self.curve, self.asked.measure, width)
        return lay_chart(self.trend, width)

    @cached_property
    def names(self) -> frozenset[str]:
        """The events that count."""
        return frozenset(row.event_id for row in self.cohort.rows)

    @cached_property
    def gaps(self) -> list[tuple[str, int]]:
        """Why the figure is not known, and of how many events."""
        return gaps_kept(self.registry, self.asked.measure, self.names)

    @cached_property
    def talks(self) -> Held:
        """What came of the talks about these events."""
        return talks_held(self.registry, self.names)


def made(reports: Reports, asked: Asked) -> Made | None:
    """Return what an address asks for; null where no event is kept.

    Raises
    ------
    DebriefError
        Where the address asks for what cannot be, or the registry cannot be read.
    """
    registry = reports.shelf.kept
    if registry is None:
        return None
    edition = targets.load(None, reports.site)
    named = registry.named(COHORT)
    rows = rows_kept(registry, asked.measure, edition)
    chosen = asked.chosen(rows, named)
    if not rows:
        return None
    other = BESIDE.get(asked.measure)
    beside = asked.chosen(rows_kept(registry, other, edition), named, other) if other else None
    curve = _curve(chosen) if asked.chart == "km" else None
    return Made(registry, asked, rows, chosen, asked.made(chosen), curve, beside)


def _curve(chosen: Cohort) -> Curve:
    """Return how many still wait. Who was not seen to have it was watched as long as is known."""
    if not chosen.measure.startswith("time_to_"):
        raise BadSetting(say("trends_page.no_curve", read=chosen.measure))
    watched = [
        (float(row.value if row.value is not None else row.low or 0.0), row.value is not None)
        for row in chosen.rows
        if row.value is not None or row.low is not None
    ]
    return kaplan_meier([time for time, _ in watched], [seen for _, seen in watched])
