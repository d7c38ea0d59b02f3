"""What the page of trends shows, before it is shown: made from the registry for one address."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from debrief import targets
from debrief.cohorts.cohort import Cohort, Row
from debrief.cohorts.few import guarded, guarded_curve
from debrief.cohorts.kept import BESIDE, COHORT, gaps_kept, rows_kept
from debrief.cohorts.survival import Curve
from debrief.cohorts.trends import Trend
from debrief.cohorts.waiting import waiting
from debrief.dashboard.across.asked import Asked
from debrief.dashboard.reports import Reports
from debrief.picture.chart import lay_chart
from debrief.picture.chart_words import latest
from debrief.picture.curve import lay_curve
from debrief.picture.plain import Picture
from debrief.registry.store import Registry
from debrief.talk.across import Held, talks_held


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
    fewest = edition.fewest_shown
    curve = guarded_curve(waiting(chosen), fewest) if asked.chart == "km" else None
    return Made(registry, asked, rows, chosen, guarded(asked.made(chosen), fewest), curve, beside)
