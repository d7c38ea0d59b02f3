"""Invented events with one odd clock each. See `clock_world`."""

from dataclasses import replace

from debrief.model.event import Event
from tests.clock_world import DAY_S, FINE_S, LOG, MINUTE, SECOND, Made, Pen, made

HOUR_S = 3600.0
CORRECTED_S = 420.0
SECOND_SHEET = replace(MINUTE, name="other")
SENSOR = Pen("sensor", "sensor", 0.01, frozenset({"compression"}), forgets=0)


def only_shared(event: Made, kept: int) -> Made:
    """Return an event of two sources whose sheet has lost all shared marks but so many, and its extras."""
    pairs = sorted(event.pairs("log", "sheet"), key=sorted)
    log_has = {number for name, number in event.happened.items() if name.startswith("log:")}
    log_kinds = _kinds(event.event, "log")
    gone = {name for pair in pairs[kept:] for name in pair if name.startswith("sheet:")}
    for name, kind in _named(event.event, "sheet"):
        if event.happened[name] not in log_has and kind in log_kinds | {"compressions_start"}:
            gone.add(name)
    left = {name: number for name, number in event.happened.items() if name not in gone}
    return Made(_without(event.event, gone), event.offset_s, left, _without(event.true, gone))


def plain(seed: int) -> Made:
    """Return a log and a sheet to the second."""
    return made(seed, LOG, SECOND)


def no_shared(seed: int) -> Made:
    """Return a log and a sheet that share no mark."""
    return only_shared(made(seed, LOG, SECOND), 0)


def one_shared(seed: int) -> Made:
    """Return a log and a sheet that share one mark."""
    return only_shared(made(seed, LOG, SECOND), 1)


def corrected(seed: int) -> Made:
    """Return a log and a sheet whose clock was set back in the middle of the event."""
    return made(seed, LOG, replace(SECOND, jump_s=CORRECTED_S))


def an_hour_off(seed: int) -> Made:
    """Return a log and a sheet whose clock was never moved in spring."""
    return made(seed, LOG, replace(SECOND, offset_s=HOUR_S))


def of_another_day(seed: int) -> Made:
    """Return a log and a sheet that is dated three days before."""
    return made(seed, replace(LOG, scale="local"), replace(SECOND, offset_s=3 * DAY_S, scale="local"))


def pressed_twice(seed: int) -> Made:
    """Return a log in which every shock stands twice, some seconds apart, and a sheet."""
    return made(seed, replace(LOG, twice_s=4.0), SECOND)


def strict_cycles(seed: int) -> Made:
    """Return a log and a sheet of an arrest with cycles of exactly two minutes."""
    return made(seed, LOG, SECOND, cycle=(120.0, 0.0))


def two_sheets(seed: int) -> Made:
    """Return two sheets of a kind and no device."""
    return made(seed, replace(MINUTE, offset_s=0.0), SECOND_SHEET)


def two_unlike_sheets(seed: int) -> Made:
    """Return a sheet written at once and one written late, and no device; no mark tells which is which."""
    return made(seed, replace(SECOND, offset_s=0.0), SECOND_SHEET)


def three_sources(seed: int) -> Made:
    """Return a log and two sheets."""
    return made(seed, LOG, SECOND, SECOND_SHEET)


def newest_first(seed: int) -> Made:
    """Return a log and a sheet whose newest row stands first."""
    return made(seed, LOG, replace(SECOND, newest_first=True))


def with_sensor(seed: int) -> Made:
    """Return a log, a sheet and a sensor's single compressions."""
    return made(seed, replace(LOG, cell_s=FINE_S), SECOND, SENSOR)


def _named(event: Event, source_id: str) -> list[tuple[str, str]]:
    columns = (event.marks[name].to_pylist() for name in ("source_id", "place", "kind"))
    return [
        (f"{source}:{place}", kind)
        for source, place, kind in zip(*columns, strict=True)
        if source == source_id
    ]


def _kinds(event: Event, source_id: str) -> set[str]:
    return {kind for _, kind in _named(event, source_id)}


def _without(event: Event, gone: set[str]) -> Event:
    columns = (event.marks[name].to_pylist() for name in ("source_id", "place"))
    kept = [f"{source}:{place}" not in gone for source, place in zip(*columns, strict=True)]
    return replace(event, marks=event.marks.filter(kept))
