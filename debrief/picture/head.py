"""What stands at the head of an event: what could not be seen, what it was, where hands-off time went."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from debrief import words
from debrief.model.contract import Occurrence, Report
from debrief.model.times import clock
from debrief.model.values import THIN
from debrief.picture.captions import cause_words, known, rhythm_words, wall_at
from debrief.picture.ribbon import first_compression, outside, records_interruptions
from debrief.words import say

_MINUTE_S = 55.0
"""A time known no better than this is said to be to the minute. [s]"""
_WORTH_SAYING_S = 5.0


def head_line(report: Report) -> str:
    """Return the line at the head of every event: ``Could not be seen: compressions before 1:10; ...``."""
    parts = could_not_be_seen(report)
    return say("head.unseen", what="; ".join(parts)) if parts else say("head.all_seen")


def could_not_be_seen(report: Report) -> list[str]:
    """Return what the sources could not show, part by part, from coverage, cells, labels and clocks."""
    parts = [*_compressions(report), *_to_the_minute(report), *_rhythm(report)]
    missing = {figure["name"] for figure in report["figures"] if figure["verdict"] == "no_data"}
    depth, rate = "compression_depth_median" in missing, "compression_rate" in missing
    if depth or rate:
        parts.append(
            say("head.no_depth_or_rate" if depth and rate else "head.no_depth" if depth else "head.no_rate")
        )
    parts += _not_on_the_timeline(report)
    if report["time_zero"]["basis"] == "assumed":
        parts.append(say("head.assumed_zero"))
    return parts


def _not_on_the_timeline(report: Report) -> list[str]:
    """Return which sources stand apart or are left out; one that only repeats another is neither."""
    apart = {one["source_id"] for each in report["apart"] for one in each["sources"] if one["group"] == 1}
    again = {one["source_id"] for one in report["problems"] if one["code"] == "same_marks_twice"}
    return [
        say("head.apart" if source["source_id"] in apart else "head.left_out", file=source["file"])
        for source in report["sources"]
        if source["clock"] is None and source["source_id"] not in again
    ]


def _compressions(report: Report) -> list[str]:
    start = first_compression(report)
    if start is None:
        return [say("head.no_compressions")]
    if not records_interruptions(report):
        return [say("head.starts_alone")]
    parts = []
    if report["episodes"] and start - report["episodes"][0]["start"] > _WORTH_SAYING_S:
        parts.append(say("head.before_first", time=clock(start)))
    windows = next(
        (figure["window"] for figure in report["figures"] if figure["name"] == "compression_coverage"), []
    )
    gaps = [gap for low, high in windows for gap in outside(report["covered"], low, high)]
    unseen = sum(high - low for low, high in gaps)
    if unseen > _WORTH_SAYING_S:
        whole = sum(high - low for low, high in windows)
        parts.append(say("head.coverage", seen=clock(whole - unseen), whole=clock(whole)))
    return parts


def _to_the_minute(report: Report) -> list[str]:
    kinds = {source["source_id"]: source["kind"] for source in report["sources"]}

    def coarse(one: Occurrence) -> bool:
        by_hand = kinds.get(one["lead"].partition(":")[0]) == "person"
        return by_hand and one["high"] - one["low"] >= _MINUTE_S

    found = []
    for kind, key in (("drug", "head.doses_to_the_minute"), ("shock", "head.shocks_to_the_minute")):
        those = [one for one in report["occurrences"] if one["kind"] == kind]
        if any(coarse(one) for one in those):
            found.append(say(key if all(coarse(one) for one in those) else f"{key}_some"))
    return found


def _rhythm(report: Report) -> list[str]:
    kinds = {"rhythm", "rhythm_check", "pulse_check"}
    labelled = [one["time"] for one in report["occurrences"] if one["kind"] in kinds and one["detail"]]
    if not labelled:
        return [say("head.no_rhythm")]
    if min(labelled) > _WORTH_SAYING_S:
        return [say("head.no_rhythm_before", time=clock(min(labelled)))]
    return []


def summary_line(report: Report) -> str:
    """Return date, population, first rhythm and sources in a line: ``14 March 2026, 03:12 · adult, ...``."""
    event = report["event"]
    wall = report["time_zero"]["wall"]
    day = _day(event.get("date") or (wall[:10] if wall and "-" in wall else None))
    at = wall_at(report, 0.0, with_seconds=False)
    rhythm = report["first_rhythm"]
    first = say("head.first_rhythm", rhythm=rhythm_words(rhythm["rhythm"])) if rhythm else ""
    given = event.get("population") or ""
    population = known(f"head.population.{given}", given.replace("_", " "))
    files = [source["file"] for source in report["sources"]]
    parts = [_joined(day, at), _joined(population, first), _joined(_files(files), _clocks(report))]
    return " · ".join(part for part in parts if part)


def _joined(*parts: str) -> str:
    return ", ".join(part for part in parts if part)


def _day(written: str | None) -> str:
    if not written:
        return ""
    try:
        day = date.fromisoformat(written)
    except ValueError:
        return written
    return say("head.day", day=day.day, month=say(f"head.month_{day.month}"), year=day.year)


def _files(files: Sequence[str]) -> str:
    if len(files) < 2:
        return "".join(files)
    return say("figures.and", first=", ".join(files[:-1]), last=files[-1])


def _clocks(report: Report) -> str:
    hours = [source for source in report["sources"] if source["scale"] != "elapsed"]
    offsets = [source["clock"]["offset"] for source in hours if source["clock"]]
    apart = max(offsets, default=0.0) - min(offsets, default=0.0)
    return say("head.clocks_apart", apart=clock(apart)) if apart >= 1 else ""


@dataclass(frozen=True)
class CauseBar:
    """One cause of pauses: how many seconds it took, its share of all, its tone, each of its pauses. [s]

    ``capped_share`` is its share of all hands-off seconds had no pause been longer than `Causes.cap_s`.
    """

    cause: str
    words: str
    seconds: float
    text: str
    share: float
    capped_share: float
    tone: str
    pauses: tuple[float, ...]


@dataclass(frozen=True)
class Causes:
    """Where the hands-off seconds went: bars from the longest on; and what if no pause were long. [s]

    ``asked_s`` is what the fraction is a share of: the time seen in the windows.
    """

    heading: str
    bars: tuple[CauseBar, ...]
    asked_s: float
    cap_s: float

    def fraction(self, cap_s: float) -> float:
        """Return the fraction of hands-on time had every pause been cut to a length. [s, 1]"""
        lost = sum(min(length, cap_s) for bar in self.bars for length in bar.pauses)
        return 1 - lost / self.asked_s


_TONES = {
    "advanced_airway": "warning",
    "shock": "ink",
    "rhythm_or_pulse_check": "hands_on",
    "mechanical_device": "drug",
    "unexplained": "no_data",
}


def seen_in_windows(report: Report) -> float:
    """Return how much of the windows of the fraction some source could have seen. [s]"""
    figures = (one for one in report["figures"] if one["name"] == "chest_compression_fraction")
    windows = next((figure["window"] for figure in figures), [])
    return sum(
        max(0.0, min(end, high) - max(start, low))
        for start, end in windows
        for low, high in report["covered"]
    )


def causes(report: Report) -> Causes | None:
    """Return where the hands-off seconds went; None where no fraction is measured or no pause was seen."""
    fraction = next((one for one in report["figures"] if one["name"] == "chest_compression_fraction"), None)
    asked_s = seen_in_windows(report)
    lengths: dict[str, list[float]] = {}
    for pause in report["pauses"]:
        lengths.setdefault(pause["cause"], []).append(pause["length"])
    total = sum(map(sum, lengths.values()))
    if fraction is None or fraction["value"] is None or not total or not asked_s:
        return None
    cap_s = float(report["parameters"]["what_if_longest_pause_s"])
    sums = {cause: sum(each) for cause, each in lengths.items()}
    order = sorted(sums, key=lambda cause: (cause == "unexplained", -sums[cause]))
    bars = tuple(
        CauseBar(
            cause=cause,
            words=cause_words(cause),
            seconds=sums[cause],
            text=f"{sums[cause]:.0f}{THIN}s",
            share=sums[cause] / total,
            capped_share=sum(min(length, cap_s) for length in lengths[cause]) / total,
            tone=_TONES.get(cause, "unclear"),
            pauses=tuple(lengths[cause]),
        )
        for cause in order
    )
    return Causes(say("head.causes", seconds=f"{total:.0f}"), bars, asked_s, cap_s)


def advanced_airway(report: Report) -> bool:
    """Return whether an advanced airway was marked."""
    return any(
        one["kind"] == "airway" and one["detail"] in words.ADVANCED_AIRWAYS for one in report["occurrences"]
    )
