"""Hold what was made of an event's clocks and figures against the truth."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from debrief.assess import Asked, assess_event
from debrief.model.contract import Report
from tests.clock_world import DAY_S, Made


@dataclass(frozen=True)
class Held:
    """One figure held against its true value.

    ``inside``: the true value lies within the bounds, a missing one being no bound; ``same``: the same
    happenings led to both.
    """

    name: str
    true: float
    value: float
    low: float | None
    high: float | None
    same: bool

    @property
    def inside(self) -> bool:
        """Return whether the true value lies within the bounds, but for the last digit."""
        slack = 1e-6
        return (self.low is None or self.low - slack <= self.true) and (
            self.high is None or self.true <= self.high + slack
        )


@dataclass(frozen=True)
class Judged:
    """One source's clock held against the truth.

    ``error_s``: offset less the true one; ``low_s``, ``high_s``: bounds less the true offset, all null where
    the source was left unaligned; ``pairs``, ``wrong``: how many marks were paired, and how many of them
    tell of two happenings; ``others``: how many other matches were offered. [s]
    """

    seed: int
    shared: int
    error_s: float | None
    low_s: float | None
    high_s: float | None
    pairs: int = 0
    wrong: int = 0
    others: int = 0
    lag_s: tuple[float, float] | None = None
    figures: tuple[Held, ...] = field(default=(), repr=False)

    @property
    def aligned(self) -> bool:
        """Return whether the source was brought onto the reference."""
        return self.error_s is not None

    @property
    def inside(self) -> bool:
        """Return whether the true offset lies within the bounds."""
        return self.low_s is not None and self.high_s is not None and self.low_s <= 0 <= self.high_s

    @property
    def width_s(self) -> float:
        """Return how wide the bounds are. [s]"""
        return 0.0 if self.low_s is None or self.high_s is None else self.high_s - self.low_s


def judge(seed: int, made: Made, *, name: str = "sheet", draws: int = 500, figures: bool = True) -> Judged:
    """Hold the clock of source ``name``, and with it the figures, against the truth."""
    report = assess_event(made.event, Asked(draws=draws if figures else 0)).to_dict()
    first = made.event.sources[0].source_id
    shared = made.pairs(first, name)
    written = next(source for source in report["sources"] if source["source_id"] == name)
    clock, scales = written["clock"], {source.source_id: source.scale for source in made.event.sources}
    if clock is None:
        return Judged(seed, len(shared), None, None, None)
    error = clock["offset"] - made.offset_s[name]
    if {"clock", "elapsed"} & {
        scales[name],
        scales[first],
    }:  # of which day such a time is, is another question
        error = (error + DAY_S / 2) % DAY_S - DAY_S / 2
    paired = [(pair["mark"], pair["other"]) for given in clock["evidence"] for pair in given["pairs"]]
    wrong = sum(made.happened[one] != made.happened[other] for one, other in paired)
    return Judged(
        seed,
        len(shared),
        error,
        error + clock["low"] - clock["offset"],
        error + clock["high"] - clock["offset"],
        len(paired),
        wrong,
        len(clock["others"]),
        (clock["lag"][0], clock["lag"][1]),
        held_figures(made, report) if figures else (),
    )


def held_figures(made: Made, report: Report) -> tuple[Held, ...]:
    """Hold the figures of a report against those of the event as it went.

    Only numbers that both have, and that have bounds at all: a registry's figure has none by its rule.
    """
    went = assess_event(made.true, Asked(draws=0)).to_dict()
    truth = {figure["name"]: figure for figure in went["figures"] if _is_number(figure["value"])}
    as_went, as_told = _happenings(made.happened, went), _happenings(made.happened, report)
    found = []
    for figure in report["figures"]:
        true = truth.get(figure["name"])
        bounded = figure["low"] is not None or figure["high"] is not None
        if true is None or not bounded or not _is_number(figure["value"]):
            continue
        same = _behind(true["marks"], as_went) == _behind(figure["marks"], as_told)
        low, high = figure["low"], figure["high"]
        found.append(
            Held(figure["name"], float(true["value"] or 0), float(figure["value"] or 0), low, high, same)
        )
    return tuple(found)


def _is_number(value: object) -> bool:
    return value is not None and not isinstance(value, bool)


def _happenings(happened: Mapping[str, int], report: Report) -> dict[str, frozenset[int]]:
    """Return, for each mark, what its occurrence tells of: one happening, or several that were mixed up."""
    return {
        mark: frozenset(happened[name] for name in occurrence["marks"])
        for occurrence in report["occurrences"]
        for mark in occurrence["marks"]
    }


def _behind(marks: list[str], occurrences: Mapping[str, frozenset[int]]) -> set[frozenset[int]]:
    """Return the occurrences behind a figure."""
    return {occurrences[mark] for mark in marks if mark in occurrences}
