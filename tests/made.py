"""Make an event by hand: marks in seconds, and what the project makes of them."""

from pathlib import Path

import numpy as np

from debrief.assess import Asked, Assessment, assess_event
from debrief.clocks.evidence import LAG_US
from debrief.course import decide, place
from debrief.model.event import Context, Event, Input, Offset, Source
from debrief.model.marks import gate
from debrief.model.occurrences import RANKS, Occurrences, Sources, from_marks
from debrief.model.structure import Course, People, PointTimes
from debrief.model.times import US, to_us

ADULT = People(np.ones(1, np.bool_), np.zeros(1, np.bool_), np.full(1, np.nan))


def row(time_s, kind, detail=None, *, source="log", place=None, cell_s=0.01, length_s=None, **more):
    """Return one row of the marks table; times in seconds on the reference clock."""
    return {
        "event_id": "made",
        "source_id": source,
        "place": place or f"{time_s:g}",
        "time_text": f"{time_s:g}",
        "source_time": to_us(time_s),
        "cell": to_us(cell_s),
        "time": to_us(time_s),
        "kind": kind,
        "detail": detail,
        "length": None if length_s is None else to_us(length_s),
        "origin": "person" if source == "sheet" else "device",
        "label": kind,
        **more,
    }


def compressions(*stretches, source="log"):
    """Return starts and stops of compressions."""
    kinds = ("compressions_start", "compressions_stop")
    return [row(at, kind, source=source) for pair in stretches for at, kind in zip(pair, kinds, strict=True)]


def occurrences(rows, ranks=None, spread_s=0) -> Occurrences:
    """Return rows as occurrences of one event. ``ranks``: kind of each source."""
    ranks = {"log": "device", "sheet": "person", "puck": "sensor"} | (ranks or {})
    names = list(dict.fromkeys(entry["source_id"] for entry in rows))
    sources = Sources(
        event=np.zeros(len(names), np.int64),
        rank=np.array([RANKS[ranks[name]] for name in names]),
        shift=np.zeros(len(names), np.int64),
        off=np.zeros(len(names), np.int64),
        low=np.full(len(names), -to_us(spread_s)),
        high=np.full(len(names), to_us(spread_s)),
        nearest=np.zeros(len(names), np.bool_),
        lag=np.array([LAG_US if ranks[name] == "person" else 0 for name in names]),
    )
    source = np.array([names.index(entry["source_id"]) for entry in rows])
    return from_marks(gate(rows), sources, source)


def course(rows, *, min_pause_s=1.0, ranks=None, zero_s=None, end_s=None) -> Course:
    """Return rows as a course at their point times."""
    given = {
        key: np.array([to_us(at)]) for key, at in (("zero_at", zero_s), ("end_at", end_s)) if at is not None
    }
    structure = decide(occurrences(rows, ranks), ADULT, min_pause_us=to_us(min_pause_s), **given)
    return place(structure, PointTimes(structure.occurrences))


def seconds(positions):
    """Return positions of the first slot as seconds from time zero, an instant (1 us) left out."""
    from debrief.model import axis

    return [round(us / US, 5) for us in axis.time_of(positions).tolist()]


def pairs(spans):
    """Return spans of the first slot as pairs of seconds from time zero."""
    return list(zip(seconds(spans.start), seconds(spans.end), strict=True))


def event(rows, *, sources=None, **context) -> Event:
    """Return rows as an event that was read. ``sources``: (kind, offset in seconds or None) by name."""
    held = dict.fromkeys(entry["source_id"] for entry in rows)
    kinds = {"log": ("device", None), "sheet": ("person", 0), "puck": ("sensor", 0)} | (sources or {})
    made = []
    for name in held:
        kind, offset = kinds[name]
        clock = None if offset is None else Offset(to_us(offset), to_us(offset), to_us(offset))
        made.append(Source(name, f"{name}.csv", kind, "text", "elapsed", clock=clock))
    return Event(Context("made", **context), tuple(made), gate(rows), (Input("log.csv", "0" * 64),))


def assessed(rows, *, sources=None, draws=0, asked=None, **context) -> Assessment:
    """Return rows measured and judged."""
    return assess_event(event(rows, sources=sources, **context), asked or Asked(draws=draws))


def figures(report):
    """Return the figures of a report by name."""
    return {figure["name"]: figure for figure in report["figures"]}


ROOT = Path(__file__).parents[1]
