"""What could be told at each moment of an event from what was past by then: sentences that change in steps.

The figures are those of the whole event, stopped at a moment: at its end each says what the report says.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from debrief.model.contract import Figure, Report
from debrief.model.values import value_words
from debrief.picture.captions import amount_words, cause_words, length, plain, rhythm_words
from debrief.picture.ribbon import first_compression, joined, outside, records_interruptions
from debrief.words import RHYTHMS, say

LABELLED = ("rhythm", "rhythm_check", "pulse_check")
LIMITS_S = (5, 10, 20)
"""How long no pause may have lasted in what might have been. [s]"""
_STEP_S = 1.0
"""How often the share of hands-on time is looked at. [s]"""
_MOST_DRUGS = 3


@dataclass(frozen=True)
class Step:
    """A sentence that stands from ``time`` on: ``lead``, the value in bold, ``tail``.

    Where ``since`` is not null, the value is the time that has passed since then. [s]
    """

    time: float
    lead: str
    value: str
    tail: str
    since: float | None = None


def so_far(report: Report) -> dict[str, tuple[Step, ...]]:
    """Return the steps of each sentence by its name, in time order; a sentence that never stands has no name.

    Names are ``hands``, ``fraction``, ``longest``, ``rhythm``, ``shocks``, and ``doses:<drug>`` for the first
    drugs given.
    """
    found: dict[str, tuple[Step, ...]] = {
        "hands": tuple(_hands(report)),
        "rhythm": tuple(_rhythm(report)),
        "fraction": tuple(_fraction(report)),
        "longest": tuple(_longest(report)),
        "shocks": tuple(_shocks(report)),
    }
    drugs = dict.fromkeys(dose["drug"] for dose in report["doses"] if dose["counted"])
    for drug in list(drugs)[:_MOST_DRUGS]:
        found[f"doses:{drug}"] = tuple(_doses(report, drug))
    return {name: steps for name, steps in found.items() if steps}


def _step(key: str, time: float, value: str = "", *, since: float | None = None, **blanks: object) -> Step:
    lead, blank, tail = say(f"case.{key}", value="{value}", **blanks).partition("{value}")
    return Step(time, lead, value, tail, since if blank else None)


def _hands(report: Report) -> Iterator[Step]:
    """Yield whether hands are on the chest, and since when."""
    starts = first_compression(report)
    if starts is None or not records_interruptions(report):
        return
    on = [(one["start"], one["end"], one["manual"]) for one in report["hands_on"]]
    covered = [(low, high) for low, high in report["covered"]]
    edges = [edge for low, high, *_ in (*on, *covered) for edge in (low, high)]
    edges += [edge for one in report["episodes"] for edge in (one["start"], one["end"])]
    said = None
    places = sorted(set(edges))
    for at, until in zip(places, [*places[1:], places[-1] + 1], strict=True):
        state, since = _state(report, on, covered, (at + until) / 2, at)
        if state != said:
            yield _step(state, at, since=since)
            said = state


def _state(
    report: Report,
    on: Sequence[tuple[float, float, bool]],
    covered: Sequence[tuple[float, float]],
    moment: float,
    at: float,
) -> tuple[str, float | None]:
    """Return what hands do at a moment, and since when that is told."""
    for start, end, manual in on:
        if start <= moment < end:
            return ("hands_on" if manual else "mechanical_on"), start
    episode = next((one for one in report["episodes"] if one["start"] <= moment < one["end"]), None)
    if episode is None:
        closed = [one for one in report["episodes"] if one["end"] <= moment]
        if not closed:
            return "before", None
        return f"after.{_closed(closed[-1]['closed_by'])}", closed[-1]["end"]
    before = [end for start, end, _ in on if episode["start"] <= start and end <= moment]
    if not any(low <= moment < high for low, high in covered):
        return ("not_seen", None) if before else ("none_yet", episode["start"])
    return ("hands_off", max(before)) if before else ("none_yet", episode["start"])


def _closed(by: str) -> str:
    return by if by in {"rosc", "ecls_flow", "efforts_ended"} else "end"


def what_if(report: Report, at: float) -> list[tuple[int, float]]:
    """Return the share of hands-on time by a moment, had no pause lasted longer: by each of `LIMITS_S`.

    Nothing after the moment counts, nor a pause that has not ended by then. Empty where nothing was seen.
    """
    figure = _measured_fraction(report)
    if figure is None:
        return []
    on = joined([(one["start"], one["end"]) for one in report["hands_on"]])
    known = _known_until(at, on, [one["time"] for one in report["shocks"]])
    covered = joined([(low, high) for low, high in report["covered"]])
    delivered, seen = _hands_on_of(figure, on, covered, known)
    if seen <= 0:
        return []
    ended = [one["length"] for one in report["pauses"] if one["end"] <= known]
    saved = {limit: sum(max(0.0, length - limit) for length in ended) for limit in LIMITS_S}
    return [(limit, (delivered + saved[limit]) / seen) for limit in LIMITS_S]


def _measured_fraction(report: Report) -> Figure | None:
    figure = next(one for one in report["figures"] if one["name"] == "chest_compression_fraction")
    return None if figure["value"] is None or not figure["window"] else figure


def _fraction(report: Report) -> Iterator[Step]:
    """Yield the share of hands-on time, up to the last compression or shock by then."""
    figure = _measured_fraction(report)
    if figure is None:
        return
    on = joined([(one["start"], one["end"]) for one in report["hands_on"]])
    covered = joined([(low, high) for low, high in report["covered"]])
    shocks = [one["time"] for one in report["shocks"]]
    last = max(high for _, high in figure["window"])
    moments = [figure["window"][0][0] + _STEP_S * number for number in range(1, int(last / _STEP_S) + 2)]
    moments = sorted({*(at for at in moments if at < last), *(end for _, end in on if end <= last), last})
    said = ""
    for at in moments:
        delivered, seen = _hands_on_of(figure, on, covered, _known_until(at, on, shocks))
        value = value_words(delivered / seen, "1") if seen > 0 else ""
        if value and value != said:
            yield _step("fraction", at, value)
            said = value


def _hands_on_of(
    figure: Figure, on: Sequence[tuple[float, float]], covered: Sequence[tuple[float, float]], known: float
) -> tuple[float, float]:
    """Return how long hands were on in the windows of the share up to a moment, and of how long. [s]"""
    windows = [(low, min(high, known)) for low, high in figure["window"] if low < min(high, known)]
    return _within(on, windows, covered), _within(covered, windows)


def _known_until(at: float, on: Sequence[tuple[float, float]], shocks: Sequence[float]) -> float:
    """Return the last compression or shock by then: beyond it nobody knows yet whether it was a pause. [s]"""
    place = bisect_right(on, (at, float("inf")))
    compressed = min(at, on[place - 1][1]) if place else float("-inf")
    return max([compressed, *(time for time in shocks if time <= at)])


def _within(
    spans: Sequence[tuple[float, float]],
    windows: Sequence[tuple[float, float]],
    also: Sequence[tuple[float, float]] | None = None,
) -> float:
    """Return how much of windows lies in spans, and in others as well where given. [s]"""
    total = 0.0
    for low, high in windows:
        gaps = joined([*outside(spans, low, high), *(outside(also, low, high) if also is not None else ())])
        total += (high - low) - sum(end - start for start, end in gaps)
    return total


def _longest(report: Report) -> Iterator[Step]:
    """Yield the longest pause that has ended."""
    longest = 0.0
    for pause in sorted(report["pauses"], key=lambda one: one["end"]):
        if pause["length"] > longest:
            longest = pause["length"]
            key = "longest" if pause["cause"] == "unexplained" else "longest_for"
            yield _step(key, pause["end"], length(longest), cause=cause_words(pause["cause"]))


def _rhythm(report: Report) -> Iterator[Step]:
    """Yield the last label of the rhythm; one of an arrest stands no longer than that arrest."""
    steps: list[tuple[float, str | None]] = []
    said: str | None = None
    for one in report["occurrences"]:
        if one["kind"] in LABELLED and one["detail"] and one["detail"] != said:
            said = one["detail"]
            steps.append((one["time"], said))
    for episode in report["episodes"]:
        rhythm = next((name for time, name in reversed(steps) if time <= episode["end"]), None)
        known = RHYTHMS.get(rhythm or "")
        if episode["closed_by"] in {"rosc", "ecls_flow"} and known is not None and known.arrest:
            steps.append((episode["end"], None))
    for time, rhythm in sorted(steps, key=lambda step: step[0]):
        if rhythm is None:
            yield Step(time, "", "", "")
        else:
            yield _step("rhythm", time, rhythm_words(rhythm))


def _shocks(report: Report) -> Iterator[Step]:
    """Yield how many shocks there were, and how long ago the last was."""
    shocks = [one for one in report["occurrences"] if one["kind"] == "shock"]
    for count, shock in enumerate(shocks, 1):
        energy = amount_words(shock)
        key = ("shock" if count == 1 else "shocks") + ("_of" if energy else "")
        yield _step(key, shock["time"], since=shock["time"], count=count, energy=energy)


def _doses(report: Report, drug: str) -> Iterator[Step]:
    """Yield how many counted doses of a drug were given, and how long ago the last was."""
    doses = [one for one in report["doses"] if one["counted"] and one["drug"] == drug]
    name = plain(drug)
    for count, dose in enumerate(doses, 1):
        key = "dose" if count == 1 else "doses"
        since = dose["time"]
        yield _step(key, since, since=since, drug=name[:1].upper() + name[1:], count=count)


def told_at(steps: Sequence[Step], at: float) -> str:
    """Return a sentence as it stands at a moment, as plain text; empty before its first step. [s]"""
    place = bisect_right([step.time for step in steps], at)
    if not place:
        return ""
    step = steps[place - 1]
    value = step.value if step.since is None else length(float(int(at - step.since)))
    return f"{step.lead}{value}{step.tail}"
