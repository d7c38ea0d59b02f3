"""A row of each event for one measure, which events are left out, and why.

Nothing is dropped in silence: every report that comes in is a row that counts, one that a filter did not ask
for, or one that is left out with a reason.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from difflib import get_close_matches
from typing import Any, Literal, get_args

from debrief.errors import BadSetting
from debrief.measures import MEASURES
from debrief.model.contract import Figure, Report, Target, Verdict
from debrief.words import say

By = Literal["month", "quarter", "unit", "miss"]
Reason = Literal[
    "same_again",
    "not_an_arrest",
    "do_not_attempt",
    "excluded",
    "filter_unknown",
    "not_applicable",
    "no_target",
    "no_date",
    "no_unit",
]
REASONS: tuple[Reason, ...] = get_args(Reason)
"""Why an event can be left out, in the order in which they are asked."""

MEASURE_NAMES = (*(measure.name for measure in MEASURES), "completeness")

NIGHT_FROM, NIGHT_TO = time(23), time(7)
"""The night shift; the weekend is from its start on Friday to its end on Monday (as in Peberdy MA et al.,
JAMA 2008;299:785-92; from memory)."""

NOT_COUNTED: tuple[Reason, ...] = ("not_an_arrest", "do_not_attempt", "excluded")
"""What was said of a whole event, by a mark or by a reviewer, that takes it out of every measure."""


@dataclass(frozen=True)
class Row:
    """One event and one figure of it. Null: not known. Values are in the figure's own unit.

    ``date``: of time zero, ISO; ``at``: its wall time where the hour is known as well, ISO without a zone.
    ``shift``: ``day`` or ``night``. ``ended_as``: what ended the efforts. ``stale``: measured
    from what the event is no more, or so that it cannot be judged by the edition that is asked for.
    ``watched_s``: where there is no value, how long nothing was seen, if it was looked for.
    """

    event_id: str
    date: str | None
    at: str | None
    unit: str | None
    setting: str | None
    population: str
    shockable: bool | None
    shift: str | None
    weekend: bool | None
    witnessed: bool | None
    monitored: bool | None
    value: float | bool | None
    low: float | None
    high: float | None
    figure_unit: str
    verdict: Verdict
    target: Target | None
    edition: str
    definitions: int
    ended_as: str | None
    inputs: tuple[str, ...]
    stale: bool = False
    watched_s: float | None = None

    @property
    def month(self) -> str | None:
        """The month, ``2026-03``."""
        return None if self.date is None else self.date[:7]

    @property
    def quarter(self) -> str | None:
        """The quarter, ``2026-Q1``."""
        return None if self.date is None else f"{self.date[:4]}-Q{(int(self.date[5:7]) + 2) // 3}"

    @property
    def outcome(self) -> Verdict:
        """The verdict; of a yes or no that nobody judges, yes counts as met and no as not met."""
        if self.verdict == "no_target" and isinstance(self.value, bool):
            return "met" if self.value else "not_met"
        return self.verdict


@dataclass(frozen=True)
class Filter:
    """What an event must be: a key of `FILTERS`, and the text that is asked for."""

    key: str
    wanted: str

    def admits(self, row: Row) -> bool | None:
        """Return whether an event is asked for; null where what is asked of it is not known."""
        return FILTERS[self.key].admits(row, self.wanted)


@dataclass(frozen=True)
class Cohort:
    """The rows that count, ids of those left out by reason, and how many a filter did not ask for."""

    measure: str
    rows: tuple[Row, ...]
    left_out: dict[Reason, tuple[str, ...]]
    not_asked: int
    filters: tuple[Filter, ...] = ()

    @property
    def read(self) -> int:
        """How many events came in."""
        return len(self.rows) + self.not_asked + sum(map(len, self.left_out.values()))


def measure_named(name: str) -> str:
    """Return the name of a measure of events.

    Raises
    ------
    BadSetting
        Where there is no such measure; what is near is named.
    """
    if name not in MEASURE_NAMES:
        near = get_close_matches(name, MEASURE_NAMES, 3, 0.3) or MEASURE_NAMES[:3]
        raise BadSetting(say("trends.unknown_measure", read=name, near=", ".join(near)))
    return name


def row_of(report: Report, measure: str) -> Row:
    """Return the row of one event for a measure that its report has."""
    event: dict[str, Any] = report["event"]
    figure = next(figure for figure in report["figures"] if figure["name"] == measure)
    rhythm = report["first_rhythm"]
    ended = [entry["detail"] for entry in report["occurrences"] if entry["kind"] == "efforts_ended"]
    return Row(
        event_id=event["event_id"],
        **day_facts(report["time_zero"]["wall"], event.get("date")),
        unit=event.get("unit"),
        setting=event.get("setting"),
        population=event["population"],
        shockable=None if rhythm is None else rhythm["shockable"],
        witnessed=event.get("witnessed"),
        monitored=event.get("monitored"),
        value=figure["value"],
        low=figure["low"],
        high=figure["high"],
        figure_unit=figure["unit"],
        verdict=figure["verdict"],
        target=figure["target"],
        edition=report["edition"],
        definitions=report["definitions"],
        ended_as=next((detail for detail in ended if detail in NOT_COUNTED), ended[-1] if ended else None),
        inputs=tuple(entry["sha256"] for entry in report["inputs"]),
        watched_s=_watched_s(report, figure),
    )


def _watched_s(report: Report, figure: Figure) -> float | None:
    """Return how long nothing was seen: of a circulation that did not return, to the end of the event."""
    if figure["value"] is not None:
        return None
    if figure["name"] == "time_to_rosc" and figure["verdict"] == "not_applicable":
        return report["end"]["time"]
    return figure["low"]


def cohort(
    rows: Sequence[Row],
    measure: str,
    filters: Sequence[Filter] = (),
    by: By | None = None,
    *,
    waits: bool = False,
) -> Cohort:
    """Choose the rows that count.

    Parameters
    ----------
    rows
        One an event, all of one measure.
    filters
        All have to be met.
    by
        What the rows will be put together by; an event without it is left out.
    waits
        Whether those count as well in which it was looked for until they ended, although a measure does not
        apply to what ended.
    """
    judged = any(row.target is not None and all(one.admits(row) for one in filters) for row in rows)
    kept: list[Row] = []
    left_out: dict[Reason, list[str]] = {}
    not_asked, seen = 0, set()
    for row in rows:
        same = (row.event_id, row.inputs) in seen
        seen.add((row.event_id, row.inputs))
        reason, asked = _reason(row, same, filters, by, judged, waits)
        if not asked:
            not_asked += 1
        elif reason:
            left_out.setdefault(reason, []).append(row.event_id)
        else:
            kept.append(row)
    ordered = {reason: tuple(left_out[reason]) for reason in REASONS if reason in left_out}
    return Cohort(measure, tuple(kept), ordered, not_asked, tuple(filters))


def filter_named(text: str) -> Filter:
    """Return the filter that ``key=value`` says.

    Raises
    ------
    BadSetting
        Where there is no such key, or it takes no such value; what can be said is named.
    """
    key, _, wanted = (part.strip() for part in text.partition("="))
    if key not in FILTERS or not wanted:
        raise BadSetting(say("trends.unknown_filter", read=text, choices=", ".join(FILTERS)))
    known = FILTERS[key]
    if known.choices and wanted not in known.choices:
        raise BadSetting(say("trends.bad_filter", read=wanted, key=key, choices=" | ".join(known.choices)))
    if isinstance(known, _Since):
        try:
            date.fromisoformat(wanted)
        except ValueError:
            raise BadSetting(say("trends.bad_filter", read=wanted, key=key, choices="YYYY-MM-DD")) from None
    return Filter(key, wanted)


def _reason(
    row: Row, same: bool, filters: Iterable[Filter], by: By | None, judged: bool, waits: bool
) -> tuple[Reason | None, bool]:
    """Return why an event is left out, and whether it is asked for at all."""
    if same:
        return "same_again", True
    if row.ended_as in NOT_COUNTED:
        return row.ended_as, True
    answers = [one.admits(row) for one in filters]
    if False in answers:
        return None, False
    waited = waits and row.watched_s is not None
    missing: Collection[Reason] = (
        *(("filter_unknown",) if None in answers else ()),
        *(("not_applicable",) if row.outcome == "not_applicable" and not waited else ()),
        *(("no_target",) if judged and row.outcome == "no_target" else ()),
        *(("no_date",) if by in ("month", "quarter", "miss") and row.date is None else ()),
        *(("no_unit",) if by == "unit" and not row.unit else ()),
    )
    return next(iter(missing), None), True


def day_facts(wall: str | None, stated: str | None) -> dict[str, Any]:
    """Return ``date``, ``at``, ``shift`` and ``weekend`` of a row from its time zero, else a stated date."""
    day, hour = _when(wall, stated)
    return {
        "date": None if day is None else day.isoformat(),
        "at": None if day is None or hour is None else datetime.combine(day, hour).isoformat(),
        "shift": None if hour is None else "night" if _is_night(hour) else "day",
        "weekend": None if day is None else _is_weekend(day, hour),
    }


def _when(wall: str | None, stated: str | None) -> tuple[date | None, time | None]:
    """Return the day of time zero and its hour, as far as they are known."""
    day = None if stated is None else date.fromisoformat(stated)
    if wall is None:
        return day, None
    if "T" not in wall:
        return day, time.fromisoformat(wall)
    moment = datetime.fromisoformat(wall).replace(tzinfo=None)
    return moment.date(), moment.time()


def _is_night(hour: time) -> bool:
    return hour >= NIGHT_FROM or hour < NIGHT_TO


def _is_weekend(day: date, hour: time | None) -> bool | None:
    """Return whether a time is on a weekend; null on a Friday or Monday whose hour is not known."""
    friday = day - timedelta(days=(day.weekday() - 4) % 7)
    if hour is None:
        return None if day.weekday() in (0, 4) else day.weekday() in (5, 6)
    start = datetime.combine(friday, NIGHT_FROM)
    moment = datetime.combine(day, hour)
    return start <= moment < datetime.combine(friday + timedelta(days=3), NIGHT_TO)


@dataclass(frozen=True)
class _Same:
    """A filter by a value of a row as it is told in words; no ``choices``: any text."""

    field: str
    choices: tuple[str, ...] = ()
    words: tuple[tuple[object, str], ...] = ()

    def admits(self, row: Row, wanted: str) -> bool | None:
        held = getattr(row, self.field)
        return None if held is None else dict(self.words).get(held, held) == wanted


@dataclass(frozen=True)
class _Since:
    """A filter by date: from a day on, or up to it, the day included."""

    on: bool
    choices: tuple[str, ...] = ()

    def admits(self, row: Row, wanted: str) -> bool | None:
        if row.date is None:
            return None
        return row.date >= wanted if self.on else row.date <= wanted


def _either(field: str, yes: str = "yes", no: str = "no") -> _Same:
    return _Same(field, (yes, no), ((True, yes), (False, no)))


FILTERS: dict[str, _Same | _Since] = {
    "from": _Since(True),
    "to": _Since(False),
    "unit": _Same("unit"),
    "setting": _Same("setting"),
    "population": _Same("population"),
    "first_rhythm": _either("shockable", "shockable", "not_shockable"),
    "shift": _Same("shift", ("day", "night")),
    "weekend": _either("weekend"),
    "witnessed": _either("witnessed"),
    "monitored": _either("monitored"),
}
"""What events can be chosen by."""
