"""What a reviewer says of clocks, written down: in ``corrections.jsonl``, the reference in ``event.json``."""

import re
from typing import Any, Literal

from debrief.clocks.readings import read_check
from debrief.dashboard.event_folder import read_settings, write_settings
from debrief.dashboard.reports import Measured
from debrief.dashboard.stamps import reading
from debrief.errors import BadSetting
from debrief.importers.amounts import length_us
from debrief.importers.corrections import ADDED_ID, Correction, writing
from debrief.importers.corrections.writing import NOBODY, By
from debrief.model.contract import ClockOther, ClockOut, SourceOut
from debrief.model.event import ClockCheck, Offset
from debrief.model.problems import Problem
from debrief.model.times import HOUR_US, to_us
from debrief.picture.clock_words import clocks_of, counts_itself, name_of, other_ways, reference_of
from debrief.words import say

OTHER = "other-"
"""Another match is chosen by this and its number."""
MOST_US = 15 * HOUR_US
"""What a clock can be off by; beyond it the day is wrong, not the hour. [us]"""


def set_clock(
    measured: Measured,
    source: str,
    kind: str,
    *,
    direction: str = "behind",
    offset: str = "",
    spread: str = "",
    source_reads: str = "",
    reference_reads: str = "",
    role: str = "",
    why: str = "",
) -> None:
    """Set a clock.

    Parameters
    ----------
    measured
        The event.
    source
        Whose clock.
    kind
        ``accept``, ``other-`` and its number, ``by_hand``, ``readings``.
    direction, offset, spread
        By hand: whether it is ``behind`` the reference or ``ahead``, by how much, give or take. [s or m:ss]
    source_reads, reference_reads
        What both clocks read at one moment.
    role, why
        Who says so, and why.

    Raises
    ------
    BadSetting
        Where nothing was chosen or something written cannot be read.
    """
    about = next((one for one in clocks_of(measured.report) if one["source_id"] == source), None)
    if about is None:
        raise BadSetting(say("clock_page.no_such_source", read=source))
    if kind == "by_hand":
        clock = _by_hand(direction, offset, spread)
    elif kind == "readings":
        clock = _by_readings(measured, about, source_reads, reference_reads)
    else:
        clock = _found(about, kind)
    _append(measured, Correction("clock", source, clock=clock), By(role, why))


def undo_clock(measured: Measured, source: str) -> None:
    """Leave a clock to be found again from the marks."""
    _append(measured, Correction("clock", source))


def _append(measured: Measured, change: Correction, who: By = NOBODY) -> None:
    """Add a change, tied to the file whose clock it is about."""
    writing.write(measured.folder, measured.event, [change], who)


def set_reference(measured: Measured, source: str) -> None:
    """Write whose clock is the reference into event.json, or take it out where the source is empty."""
    settings = read_settings(measured.folder)
    settings.pop("reference", None)
    if source:
        settings["reference"] = source
    write_settings(measured.folder, settings)


def set_device(measured: Measured, source: str, device: str) -> None:
    """Write into event.json from which device of the log a source came; an empty one is taken out."""
    file = next((one.file for one in measured.event.sources if one.source_id == source), None)
    if file is None:
        raise BadSetting(say("clock_page.no_such_source", read=source))
    rows = listed_sources(measured)
    for row in (row for row in rows if row["file"] == file):
        row.pop("device", None)
        row.update({"device": device} if device else {})
    write_settings(measured.folder, read_settings(measured.folder) | {"sources": rows})


def listed_sources(measured: Measured) -> list[dict[str, Any]]:
    """Return what event.json says of each source; where it lists none, the files that were read."""
    listed = read_settings(measured.folder).get("sources")
    if listed is not None:
        return list(listed)
    files = dict.fromkeys(one.file for one in measured.event.sources if one.source_id != ADDED_ID)
    return [{"file": file} for file in files]


def _found(source: SourceOut, kind: str) -> Offset:
    """Return where a clock was found to stand, or what it could be instead."""
    if kind == "accept" and source["clock"] is not None:
        return _offset(source["clock"], "accepted")
    match, others = re.fullmatch(rf"{OTHER}(\d+)", kind), other_ways(source)
    if match is None:
        raise BadSetting(say("clock_page.bad_choice"))
    if int(match[1]) >= len(others):
        raise BadSetting(say("clock_page.gone"))
    return _offset(others[int(match[1])], "another_match")


def _offset(clock: ClockOut | ClockOther, by: Literal["accepted", "another_match"]) -> Offset:
    return Offset(to_us(clock["offset"]), to_us(clock["low"]), to_us(clock["high"]), by)


def _by_hand(direction: str, offset: str, spread: str) -> Offset:
    far_us, spread_us = length_us(offset.strip()), length_us(spread.strip())
    if far_us is None or far_us > MOST_US:
        raise BadSetting(say("clock_page.bad_offset", read=offset))
    if spread_us is None or spread_us > MOST_US:
        raise BadSetting(say("clock_page.bad_spread", read=spread))
    at_us = -far_us if direction == "ahead" else far_us
    return Offset(at_us, at_us - spread_us, at_us + spread_us, "by_hand")


def _by_readings(measured: Measured, source: SourceOut, source_reads: str, reference_reads: str) -> Offset:
    reference = reference_of(measured.report) or source
    elapsed = counts_itself(source), counts_itself(reference)
    own, other = (reading(measured, one["source_id"]) for one in (source, reference))
    if isinstance(read_check(ClockCheck(source_reads, other), elapsed=elapsed), Problem):
        raise BadSetting(say("clock_page.bad_source_reads", read=source_reads, example=own))
    read = read_check(ClockCheck(source_reads, reference_reads), elapsed=elapsed)
    if isinstance(read, Problem):
        raise BadSetting(
            say(
                "clock_page.bad_reference_reads",
                reference=name_of(reference),
                read=reference_reads,
                example=other,
            )
        )
    return Offset(read.offset, read.offset - read.half, read.offset + read.half, "by_hand")
