"""The report of a month or a year: the main figures of a registry with their charts, as PDF."""

import json
from calendar import monthrange
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import numpy as np

from debrief import __version__, targets
from debrief.cohorts.cohort import Cohort, Filter, Row, cohort
from debrief.cohorts.few import guarded
from debrief.cohorts.kept import COHORT, filters_named, gaps_kept, rows_kept
from debrief.cohorts.proportions import tally
from debrief.cohorts.summary import is_few
from debrief.cohorts.trends import Trend, trend
from debrief.errors import BadSetting
from debrief.model.contract import DEFINITIONS
from debrief.model.values import value_words
from debrief.picture.chart import lay_chart
from debrief.picture.svg import paint_for_paper
from debrief.picture.theme import THEMES
from debrief.picture.trend_text import left_out_words, who_words
from debrief.picture.trend_words import gap_lines, registry_line, signal_lines, summary_lines
from debrief.picture.values import figure_definition, figure_title
from debrief.registry import listing
from debrief.registry.store import Registry
from debrief.reports.making import is_invented
from debrief.reports.sheet import MARGIN_MM, PAPERS
from debrief.reports.typeset import typeset
from debrief.words import language, say

MEASURES = (
    "chest_compression_fraction",
    "longest_pause",
    "time_to_first_compression",
    "time_to_first_shock",
    "time_to_first_epinephrine",
    "any_rosc",
)
"""The figures of the report, in their order."""
REGISTRY = ("registry_first_shock", "registry_epinephrine", "registry_first_compression")
MONTHS_BEFORE = 23
"""How many months before the period the charts show as well."""
_WIDTH_PX = 760


@dataclass(frozen=True)
class Period:
    """A month or a year, from its first day to its last, ISO."""

    label: str
    first: str
    last: str

    @property
    def since(self) -> str:
        """The first day that the charts show."""
        year, month = divmod(int(self.first[:4]) * 12 + int(self.first[5:7]) - 1 - MONTHS_BEFORE, 12)
        return date(year, month + 1, 1).isoformat()

    def holds(self, row: Row) -> bool:
        """Return whether an event lies in it."""
        return row.date is not None and self.first <= row.date <= self.last


def period_of(month: str | None, year: str | None) -> Period:
    """Return the month or the year that somebody asks for.

    Raises
    ------
    BadSetting
        Where it is not one of them, or none that there is.
    """
    if bool(month) == bool(year):
        raise BadSetting(say("period.one_period"))
    text = str(month or year)
    try:
        first = date.fromisoformat(f"{month}-01" if month else f"{year}-01-01")
    except ValueError:
        raise BadSetting(say("period.bad_month" if month else "period.bad_year", read=text)) from None
    last = first.replace(month=first.month if month else 12)
    last = last.replace(day=monthrange(last.year, last.month)[1])
    return Period(text, first.isoformat(), last.isoformat())


def period_report(
    registry: Registry, period: Period, name: str = "", *, site: Path | None = None, paper: str = "a4"
) -> bytes:
    """Return the report as PDF; the same bytes for the same events.

    Parameters
    ----------
    registry, period
        Which events.
    name
        One of the site's cohorts; none for all events.
    site
        The site's file: its edition, and what it says of confidentiality.
    paper
        ``a4`` or ``letter``.

    Raises
    ------
    BadSetting
        Where no cohort has that name.
    """
    edition = targets.load(None, site)
    filters = filters_named(registry.named(COHORT), name)
    reach = (*filters, Filter("from", period.since), Filter("to", period.last))
    made = [_Part(registry, measure, period, reach, edition) for measure in MEASURES]
    drawings: list[str] = []
    parts = [part.said(drawings) for part in made]
    counted = made[0].everything
    inside = sum(map(period.holds, counted))
    about = say("period.counts", events=inside, before=len(counted) - inside, months=MONTHS_BEFORE)
    told = ", ".join(f"{one.key}={one.wanted}" for one in filters)
    size = PAPERS[paper]
    stale = sum(row["figures"] == "stale" for row in listing.events(registry))
    registry_rows = (cohort(_asked(rows_kept(registry, one, edition), reach), one) for one in REGISTRY)
    beside = [registry_line(_within(one, period), edition.fewest_shown) for one in registry_rows]
    said: dict[str, Any] = {
        "title": say("period.title", period=period.label),
        "about": [
            say("period.of_cohort", name=name, filters=told) if name else say("period.all_events"),
            about if inside else say("period.none"),
        ],
        "invented": say("pages.invented") if counted and all(is_invented(r.setting) for r in counted) else "",
        "overview_title": say("period.overview"),
        "heads": [say(f"period.head.{one}") for one in ("measure", "value", "interval", "events")],
        "rows": [part.row() for part in made],
        "read_more": say("period.read_more"),
        "parts": parts,
        "caution": say("pages.caution"),
        "confidentiality": edition.confidentiality,
        "made": [
            say("period.targets", edition=edition.name),
            say("period.software", version=__version__, definitions=DEFINITIONS),
            *([say("period.measured", stale=stale)] if stale else []),
        ],
        "page": {"width": size.width, "height": size.height, "margin": MARGIN_MM},
        "colours": THEMES["light"],
        "language": language().code,
    }
    parts[-1]["lists"].append([say("trends_page.registry_title"), beside])
    return typeset(said, json.dumps(drawings, ensure_ascii=False), page="period.typ")


class _Part:
    """One figure of the report: its chart up to the end of the period, its value in the period."""

    def __init__(
        self,
        registry: Registry,
        measure: str,
        period: Period,
        filters: Sequence[Filter],
        edition: targets.Edition,
    ) -> None:
        rows = rows_kept(registry, measure, edition)
        self.everything = _asked(rows, filters)
        self.registry, self.measure = registry, measure
        self.fewest = edition.fewest_shown
        self.trend: Trend = guarded(trend(cohort(rows, measure, filters, "month"), "month"), self.fewest)
        self.inside = _within(self.trend.cohort, period)

    def said(self, drawings: list[str]) -> dict[str, Any]:
        """Return what stands in it, and add its drawing to those of the report."""
        picture = lay_chart(self.trend, _WIDTH_PX)
        if picture:
            drawings.append(paint_for_paper(picture))
        return {
            "title": figure_title(self.measure),
            "definition": f"{figure_definition(self.measure)} {say(f'trends.chart.{self.trend.chart}')}",
            "asked": [say("trends.asked", rule=one["rule"], by=one["edition"]) for one in self.trend.targets],
            "drawing": len(drawings) - 1 if picture else -1,
            "alt": picture.description if picture else "",
            "nothing": say("period.no_chart", why=" ".join(self.trend.notes)),
            "lists": [[say(f"period.{name}"), lines] for name, lines in self._lists() if lines],
        }

    def _lists(self) -> Iterator[tuple[str, list[str]]]:
        names = {row.event_id for row in self.inside.rows}
        gaps = gaps_kept(self.registry, self.measure, names)
        yield "overview", summary_lines(self.inside, self.fewest)
        yield "signals", signal_lines(self.trend)
        left_out = [left_out_words(self.trend)] if self.trend.cohort.left_out else []
        yield "left_out", [who_words(self.trend), *left_out]
        yield "first", gap_lines(gaps, self.inside) if names else []
        yield "mind", list(self.trend.notes) if self.trend.points else []

    def row(self) -> list[str]:
        """Return the figure in the period: its title, value, interval, and of how many events."""
        title, rows = figure_title(self.measure), self.inside.rows
        shares = any(row.target is not None or isinstance(row.value, bool) for row in rows)
        share = tally(row.outcome for row in rows).share
        if is_few(len(rows), self.fewest):
            return [title, say("trends.few_events", fewest=self.fewest), "", ""]
        values = [float(row.value) for row in rows if row.value is not None]
        if shares and share.value is not None and share.low is not None and share.high is not None:
            ends = {"low": value_words(share.low, "1"), "high": value_words(share.high, "1")}
            interval = say("period.share_interval", **ends)
            judged = any(row.target is not None for row in rows)
            told = say("period.met" if judged else "period.yes", share=value_words(share.value, "1"))
            return [title, told, interval, str(share.n)]
        if values and not shares:
            low, middle, high = (
                value_words(value, rows[0].figure_unit, self.measure)
                for value in np.percentile(values, (25, 50, 75)).tolist()
            )
            return [title, middle, say("period.middle_interval", low=low, high=high), str(len(values))]
        return [title, say("period.nothing"), "", "0"]


def _asked(rows: Sequence[Row], filters: Sequence[Filter]) -> list[Row]:
    return [row for row in rows if all(one.admits(row) for one in filters)]


def _within(chosen: Cohort, period: Period) -> Cohort:
    rows = tuple(row for row in chosen.rows if period.holds(row))
    return Cohort(chosen.measure, rows, {}, chosen.read - len(rows), chosen.filters)
