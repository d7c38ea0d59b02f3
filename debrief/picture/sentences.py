"""Figures as sentences, in the order in which a team lead would talk about them.

Each says its value, its bounds, what is asked of it and by whom, and in words what came of that. A shape
doubles the verdict. Nothing is graded.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from debrief.model.contract import Figure, Report, Verdict
from debrief.model.times import clock
from debrief.model.values import THIN
from debrief.picture.captions import known
from debrief.picture.head import (
    Causes,
    advanced_airway,
    causes,
    could_not_be_seen,
    head_line,
    seen_in_windows,
    summary_line,
)
from debrief.picture.values import (
    bounds_text,
    figure_definition,
    figure_title,
    target_words,
    value_text,
    verdict_words,
    zero_words,
)
from debrief.words import say

__all__ = [
    "Causes",
    "Sentence",
    "bounds_text",
    "causes",
    "could_not_be_seen",
    "figure_definition",
    "figure_title",
    "head_line",
    "sentences",
    "summary_line",
    "value_text",
    "verdict_words",
]

Shape = Literal["disc", "triangle", "half_disc", "dashed_ring", "ring", "dash"]

SHAPES: dict[Verdict, Shape] = {
    "met": "disc",
    "not_met": "triangle",
    "uncertain": "half_disc",
    "no_data": "dashed_ring",
    "no_target": "ring",
    "not_applicable": "dash",
}

TALK = (
    "chest_compression_fraction",
    "longest_pause",
    "pauses_over_10_s",
    "time_to_first_shock",
    "pre_shock_pause_max",
    "peri_shock_pause_max",
    "epinephrine_interval_in_range",
    "time_to_first_epinephrine",
    "time_to_first_compression",
    "time_to_rosc",
    "sustained_rosc",
    "rearrest_to_first_compression",
    "rearrest_to_first_shock",
    "rearrest_to_first_epinephrine",
    "time_to_advanced_airway",
    "airway_confirmed",
    "compression_rate",
    "compression_depth_median",
)
"""What is worth talking about, in this order; the rest follows as it stands in the contract."""

_MEDIAN_BESIDE = {
    "pre_shock_pause_max": "pre_shock_pause_median",
    "peri_shock_pause_max": "peri_shock_pause_median",
}
_GAPS = ("epinephrine_interval_median", "epinephrine_interval_in_range")


@dataclass(frozen=True)
class Sentence:
    """One figure, or a few that go together: ``lead``, ``value`` in bold, ``tail``, then ``bounds`` in grey.

    ``settled_by`` says what would make an uncertain verdict sure; ``spans`` is where it was measured, for a
    line on the axis of the event. [s] ``talk`` says whether it belongs to what is worth talking about or to
    the rest.
    """

    figure: str
    figures: tuple[str, ...]
    shape: Shape
    verdict: Verdict
    verdict_words: str
    lead: str
    value: str
    tail: str
    bounds: str
    target: str
    other_targets: tuple[str, ...]
    note: str
    spans: tuple[tuple[float, float], ...]
    talk: bool
    settled_by: str = ""

    @property
    def text(self) -> str:
        """The sentence as plain text, with its bounds."""
        bounds = f" ({self.bounds})" if self.bounds else ""
        return f"{self.lead}{self.value}{self.tail}{bounds}"


def sentences(report: Report) -> list[Sentence]:
    """Return the figures of an event as sentences, what is worth talking about first.

    Figures that nobody recorded are gathered by the reason; so are those that do not apply.
    """
    figures = {figure["name"]: figure for figure in report["figures"]}
    gaps = _gaps(report, figures)
    along = _absorbed(figures) | (set(_GAPS) if gaps else set())
    talk = [name for name in TALK if name in figures]
    made: list[Sentence] = []
    missing: dict[tuple[Verdict, str], list[Figure]] = {}
    for name in [*talk, *(name for name in figures if name not in TALK)]:
        figure = figures[name]
        if name in along:
            continue
        if figure["value"] is None and figure["verdict"] != "not_met":
            missing.setdefault((figure["verdict"], figure["because"] or ""), []).append(figure)
        else:
            made.append(_sentence(report, figures, figure))
    if gaps:
        made.append(gaps)
    made.sort(key=lambda one: TALK.index(one.figure) if one.figure in TALK else len(TALK))
    lost = [_missing(verdict, because, group) for (verdict, because), group in missing.items()]
    made += lost
    return sorted(
        made, key=lambda one: (not one.talk, one.verdict == "not_applicable", one.verdict == "no_data")
    )


def _absorbed(figures: dict[str, Figure]) -> set[str]:
    """Return the figures that another sentence tells along."""
    return {beside for name, beside in _MEDIAN_BESIDE.items() if name in figures} | {"compression_coverage"}


def _sentence(report: Report, figures: dict[str, Figure], figure: Figure) -> Sentence:
    name = figure["name"]
    value = value_text(figure)
    if figure["value"] is None:
        template = say("figures.missing").replace("{title}", figure_title(name))
    else:
        template = known(f"figures.{name}.sentence", f"{figure_title(name)}: {{value}}.")
    lead, _, tail = template.partition("{value}")
    blanks = _blanks(report, figure)
    lead, tail = lead.format(**blanks), tail.format(**blanks)
    beside = figures.get(_MEDIAN_BESIDE.get(name, ""))
    if beside is not None and beside["value"] is not None:
        tail = say("figures.with_median", tail=tail.rstrip("."), median=value_text(beside))
    deciding = figure["target"]
    return Sentence(
        figure=name,
        figures=(name, *([beside["name"]] if beside else [])),
        shape=SHAPES[figure["verdict"]],
        verdict=figure["verdict"],
        verdict_words=verdict_words(figure["verdict"]),
        lead=lead,
        value=value,
        tail=tail,
        bounds=bounds_text(figure),
        target=target_words(deciding) if deciding else "",
        other_targets=tuple(target_words(target) for target in figure["other_targets"]),
        note=" ".join(filter(None, (figure["because"], _note(report, name)))),
        settled_by=figure["settled_by"] or "",
        spans=_spans(figure),
        talk=name in TALK,
    )


def _spans(figure: Figure) -> tuple[tuple[float, float], ...]:
    return tuple((span[0], span[1]) for span in figure["window"])


def _told_by(report: Report, figure: Figure) -> Report:
    """Return the report that a figure is counted in: the event's, or that of a group which stands apart."""
    own = {name.partition(":")[0] for name in figure["marks"]}
    for each in report["apart"]:
        if own and own <= {source["source_id"] for source in each["sources"] if source["group"] == 1}:
            return each
    return report


def _blanks(report: Report, figure: Figure) -> dict[str, object]:
    """Return what the template of a figure may ask for beside its value."""
    report = _told_by(report, figure)
    blanks: dict[str, object] = {"zero": zero_words(report), "cause": "", "pauses": len(report["pauses"])}
    longest = max(report["pauses"], key=lambda pause: pause["length"], default=None)
    if figure["name"] == "longest_pause" and longest is not None:
        blanks["cause"] = known(f"figures.because_of.{longest['cause']}", "")
    blanks["seen"] = clock(seen_in_windows(report))
    return blanks


def _note(report: Report, name: str) -> str:
    if name != "chest_compression_fraction":
        return ""
    return "" if advanced_airway(report) else say("figures.breaths_note", low="76", high=f"84{THIN}%")


def _gaps(report: Report, figures: dict[str, Figure]) -> Sentence | None:
    """Return every gap between epinephrine doses in one sentence, each with its own verdict in words."""
    doses = [dose for dose in report["doses"] if dose["drug"] == "epinephrine" and dose["gap"] is not None]
    if not doses:
        return None
    texts = [clock(dose["gap"] or 0.0) for dose in doses]
    template = say("figures.epinephrine_interval.sentence" if len(texts) > 1 else "figures.one_gap")
    lead, _, tail = template.partition("{value}")
    verdicts: list[Verdict] = [dose["verdict"] or "no_target" for dose in doses]
    names = tuple(name for name in _GAPS if name in figures)
    about = [figures[name] for name in names]
    asked = next((figure["other_targets"] for figure in about if figure["other_targets"]), [])
    verdict = _of_all(verdicts)
    return Sentence(
        figure=_GAPS[-1],
        figures=names,
        shape=SHAPES[verdict],
        verdict=verdict,
        verdict_words=verdict_words(verdict),
        lead=lead,
        value=listed(texts),
        tail=tail,
        bounds="",
        target=_asked_of_gaps(asked[0]["rule"], asked[0]["edition"], verdicts) if asked else "",
        other_targets=tuple(target_words(target) for target in asked[1:]),
        note="",
        settled_by=next((figure["settled_by"] for figure in about if figure["settled_by"]), ""),
        spans=tuple((dose["time"] - (dose["gap"] or 0.0), dose["time"]) for dose in doses),
        talk=True,
    )


def _asked_of_gaps(rule: str, edition: str, verdicts: Sequence[Verdict]) -> str:
    same = len(set(verdicts)) == 1
    told = verdict_words(verdicts[0]) if same else ", ".join(verdict_words(verdict) for verdict in verdicts)
    key = "figures.asked" if same else "figures.asked_in_order"
    return say(key, rule=rule, edition=edition, verdict=told)


def _of_all(verdicts: Sequence[Verdict]) -> Verdict:
    """Return the verdict that the shape shows for several: not met before cannot be told before met."""
    order: tuple[Verdict, ...] = ("not_met", "uncertain", "met")
    return next((verdict for verdict in order if verdict in verdicts), verdicts[0])


def listed(texts: Sequence[str]) -> str:
    """Return texts as a list for reading: ``a, b and c``."""
    if len(texts) == 1:
        return texts[0]
    return say("figures.and", first=", ".join(texts[:-1]), last=texts[-1])


def _missing(verdict: Verdict, because: str, group: Sequence[Figure]) -> Sentence:
    """Return figures that share one reason for having no value as one sentence."""
    titles = [figure_title(figure["name"]) for figure in group]
    titles = [
        titles[0],
        *(title if title[:2].isupper() else title[:1].lower() + title[1:] for title in titles[1:]),
    ]
    template = say("figures.missing")
    lead, _, tail = template.partition("{value}")
    targets = [target_words(figure["target"]) for figure in group if figure["target"]]
    talk = verdict == "no_data" and any(figure["name"] in TALK for figure in group)
    return Sentence(
        figure=group[0]["name"],
        figures=tuple(figure["name"] for figure in group),
        shape=SHAPES[verdict],
        verdict=verdict,
        verdict_words=verdict_words(verdict),
        lead=lead.format(title=listed(titles)),
        value=verdict_words(verdict),
        tail=tail,
        bounds="",
        target=targets[0] if len(group) == 1 and targets else "",
        other_targets=(),
        note=because,
        spans=(),
        talk=talk,
    )
