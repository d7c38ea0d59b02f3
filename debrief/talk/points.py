"""Talking points: what of an event a team might talk about, chosen from its figures by the rules of a table.

Each is a neutral question beside what was measured. The table is ``points.toml``.
"""

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from debrief.model.contract import Figure, Report
from debrief.model.values import THIN, value_words
from debrief.picture.captions import cause_words
from debrief.picture.ribbon import LONG_PAUSE_S
from debrief.picture.sentences import SHAPES, Sentence, causes, sentences, verdict_words
from debrief.words import say

TABLE = Path(__file__).with_name("points.toml")
MOST = 5
"""How many points are offered: what ten minutes have room for."""

Rule = Mapping[str, Any]


@dataclass(frozen=True)
class Point:
    """One thing to talk about.

    ``rule`` chose it and names it in an event. ``about`` is a figure's name, ``cause:<cause>``,
    ``gaps:<drug>``, ``stretch`` or, for an open question, empty. ``told`` is what was measured, null for an
    open question.
    """

    rule: str
    about: str
    question: str
    told: Sentence | None
    marks: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """What was measured, with its bounds, as plain text; empty for an open question."""
        return self.told.text if self.told else ""

    @property
    def target(self) -> str:
        """What is asked of it, by whom, and what came of that; empty where nobody asks."""
        return self.told.target if self.told else ""

    @property
    def window(self) -> tuple[tuple[float, float], ...]:
        """Where it was measured. [s]"""
        return self.told.spans if self.told else ()


@cache
def rules() -> dict[str, Rule]:
    """Return the table of rules, in the order in which points are offered."""
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


def talking_points(report: Report, limit: int = MOST) -> list[Point]:
    """Return what to talk about, in the order of the table; at least the one that asks what went well."""
    found: list[Point] = []
    spoken: set[str] = set()
    told = _Told(report)
    for name, rule in rules().items():
        point = next(
            (one for one in CHOOSE[rule["choose"]](told, name, rule) if one.about not in spoken), None
        )
        if point is not None:
            found.append(point)
            spoken |= {point.about, *(point.told.figures if point.told else ())}
    return found[:limit]


class _Told:
    """A report with its figures and their sentences by name."""

    def __init__(self, report: Report) -> None:
        self.report = report
        self.figures: dict[str, Figure] = {figure["name"]: figure for figure in report["figures"]}
        self.sentences = {name: one for one in sentences(report) for name in one.figures}

    def with_verdict(self, rule: Rule, verdicts: Sequence[str]) -> Iterator[str]:
        """Yield the figures of a rule that have one of these verdicts, missing ones only where not met."""
        for name in rule["figures"]:
            figure = self.figures.get(name)
            if figure is None or figure["verdict"] not in verdicts:
                continue
            if figure["value"] is not None or figure["verdict"] == "not_met":
                yield name

    def point(self, rule: str, figure: str, key: str = "") -> Point:
        """Return a point about one figure."""
        marks = tuple(self.figures[figure]["marks"])
        return Point(rule, figure, say(f"talk.question.{key or rule}"), self.sentences[figure], marks)


def _met(told: _Told, name: str, rule: Rule) -> Iterator[Point]:
    """Offer what met its target, else a long stretch of compressions, else an open question."""
    for figure in told.with_verdict(rule, ["met"]):
        yield told.point(name, figure)
    start, end = longest_stretch(told.report)
    if end - start >= rule["least_s"]:
        value = value_words(end - start, "s")
        template = say("talk.stretch", limit=f"{LONG_PAUSE_S:g}{THIN}s", value="{value}")
        sentence = _sentence("chest_compression_fraction", template, value, ((start, end),))
        yield Point(name, "stretch", say(f"talk.question.{name}"), sentence, ())
    yield Point(name, "", say(f"talk.question.{name}.open"), None, ())


def _cause(told: _Told, name: str, rule: Rule) -> Iterator[Point]:
    """Offer the cause that took the most hands-off seconds."""
    found = causes(told.report)
    bars = [bar for bar in found.bars if bar.cause not in rule["never"]] if found else []
    largest = max(bars, key=lambda bar: bar.seconds, default=None)
    if largest is None or largest.seconds < rule["least_s"]:
        return
    pauses = [pause for pause in told.report["pauses"] if pause["cause"] == largest.cause]
    one, words = len(pauses) == 1, cause_words(largest.cause)
    template = say(
        "talk.off_once" if one else "talk.off",
        cause=words[:1].upper() + words[1:],
        count=len(pauses),
        share=f"{largest.share * 100:.0f}{THIN}%",
        longest=value_words(max(largest.pauses), "s", "pause"),
        value="{value}",
    )
    spans = tuple((pause["start"], pause["end"]) for pause in pauses)
    value = value_words(largest.seconds, "s", "pause")
    sentence = _sentence("hands_off_time", template, value, spans)
    marks = tuple(dict.fromkeys(mark for pause in pauses for mark in pause["marks"]))
    yield Point(name, f"cause:{largest.cause}", say(f"talk.question.{largest.cause}"), sentence, marks)


def _figure(told: _Told, name: str, rule: Rule) -> Iterator[Point]:
    """Offer a figure by its verdict; what was looked for and never came is asked about in other words."""
    for figure in told.with_verdict(rule, rule["verdicts"]):
        unseen = told.figures[figure]["value"] is None
        yield told.point(name, figure, f"{name}.unseen" if unseen else "")


def _gaps(told: _Told, name: str, rule: Rule) -> Iterator[Point]:
    """Offer the gaps between doses of a drug where the verdict on one of them asks for it."""
    doses = [
        dose for dose in told.report["doses"] if dose["drug"] == rule["drug"] and dose["gap"] is not None
    ]
    sentence = told.sentences.get(f"{rule['drug']}_interval_in_range")
    if sentence is not None and any(dose["verdict"] in rule["verdicts"] for dose in doses):
        marks = tuple(mark for dose in doses for mark in dose["marks"])
        yield Point(name, f"gaps:{rule['drug']}", say(f"talk.question.{name}"), sentence, marks)


def _widest(told: _Told, name: str, rule: Rule) -> Iterator[Point]:
    """Offer figures that cannot be told, those first whose bounds are widest for what is asked of them."""
    names = list(told.with_verdict(rule, ["uncertain"]))
    for figure in sorted(names, key=lambda figure: -_spread(told.figures[figure])):
        yield told.point(name, figure)


def _spread(figure: Figure) -> float:
    """Return how wide the bounds of a figure are, as a share of its limit; open ones are the widest."""
    target = figure["target"]
    limit = (target["high"] or target["low"] or 1.0) if target else 1.0
    if figure["low"] is None or figure["high"] is None:
        return float("inf")
    return (figure["high"] - figure["low"]) / abs(limit)


CHOOSE: dict[str, Callable[[_Told, str, Rule], Iterator[Point]]] = {
    "met": _met,
    "cause": _cause,
    "figure": _figure,
    "gaps": _gaps,
    "widest": _widest,
}
"""How a rule can look; each offers points, the best first."""


def longest_stretch(report: Report) -> tuple[float, float]:
    """Return the longest stretch of compressions that was seen without a long pause, from and to. [s]"""
    stretches: list[tuple[float, float]] = []
    for start, end in sorted((span["start"], span["end"]) for span in report["hands_on"]):
        if stretches and start - stretches[-1][1] <= LONG_PAUSE_S:
            stretches[-1] = stretches[-1][0], max(end, stretches[-1][1])
        else:
            stretches.append((start, end))
    return max(stretches, key=lambda span: (span[1] - span[0], -span[0]), default=(0.0, 0.0))


def _sentence(figure: str, template: str, value: str, spans: tuple[tuple[float, float], ...]) -> Sentence:
    """Return a sentence of our own about something measured that has no target."""
    lead, _, tail = template.partition("{value}")
    return Sentence(
        figure=figure,
        figures=(figure,),
        shape=SHAPES["no_target"],
        verdict="no_target",
        verdict_words=verdict_words("no_target"),
        lead=lead,
        value=value,
        tail=tail,
        bounds="",
        target="",
        other_targets=(),
        note="",
        spans=spans,
        talk=True,
    )
