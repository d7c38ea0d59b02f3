"""Write the clocks of an event as the contract asks, and the figures that only a group apart can give."""

from collections.abc import Sequence

from debrief.clocks.align import Aligned
from debrief.clocks.evidence import Clock
from debrief.clocks.matching import Match
from debrief.model import contract
from debrief.model.event import Source
from debrief.model.times import to_s
from debrief.words import say


def clocks_out(sources: Sequence[Source], groups: Sequence[Aligned]) -> list[contract.SourceOut]:
    """Write every source with its clock. ``groups``: the reference's group, then those apart."""
    number = {source.source_id: nth for nth, group in enumerate(groups, start=1) for source in group.members}
    clocks = {
        source.source_id: _clock(clock, pairs)
        for source, clock, pairs in zip(groups[0].members, groups[0].clocks, groups[0].pairs, strict=True)
    }
    return [
        contract.SourceOut(
            source_id=source.source_id,
            file=source.file,
            name=source.name,
            kind=source.kind,
            scale=source.scale,
            group=number.get(source.source_id, 0),
            clock=clocks.get(source.source_id),
            offers=[_other(match) for match in groups[0].offers.get(source.source_id, ())],
        )
        for source in sources
    ]


def _clock(clock: Clock, pairs: Sequence[tuple[str, str, int]]) -> contract.ClockOut:
    named = [
        contract.ClockPair(mark=mark, other=other, residual=to_s(residual)) for mark, other, residual in pairs
    ]
    return contract.ClockOut(
        offset=to_s(clock.offset),
        at=to_s(clock.at),
        rate=clock.rate,
        low=to_s(clock.low),
        high=to_s(clock.high),
        lag=[0.0, to_s(clock.lag)],
        evidence=[
            contract.ClockEvidence(kind=entry.kind, text=entry.text, pairs=named if entry.pairs else [])
            for entry in clock.evidence
        ],
        others=[_other(match) for match in clock.others],
    )


def _other(match: Match) -> contract.ClockOther:
    middle, low, high = (round(bound, 3) for bound in match.bounds_s)
    return contract.ClockOther(offset=middle, low=low, high=high, pairs=len(match.pairs))


def borrowed(figures: list[contract.Figure], apart: Sequence[contract.Report]) -> list[contract.Figure]:
    """Return figures, those without a value taken from a group apart that has them, with its own time zero.

    What a registry counts is the event as a whole, by its own rule, and is never borrowed.
    """
    written = []
    for figure in figures:
        if figure["value"] is None and not figure["name"].startswith("registry_"):
            for report in apart:
                theirs = next((one for one in report["figures"] if one["name"] == figure["name"]), None)
                if theirs is not None and theirs["value"] is not None:
                    files = ", ".join(source["file"] for source in report["sources"] if source["group"] == 1)
                    text = say("clocks.from_apart", files=files)
                    because = " ".join(part for part in (text, theirs["because"]) if part)
                    figure = theirs | {"because": because, "window": []}
                    break
        written.append(figure)
    return written
