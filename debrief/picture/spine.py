"""The spine: the ribbon of hands-on time and every break in it."""

from debrief.model.contract import Pause
from debrief.model.times import clock
from debrief.picture.captions import cause_in_short, cause_words, hover_words, kind_words, length
from debrief.picture.labels import label_width, text_width
from debrief.picture.outcomes import lay_outcomes
from debrief.picture.plain import Label, Line, Mark
from debrief.picture.ribbon import (
    LONG_PAUSE_S,
    SECONDS_PX,
    Ribbon,
    first_compression,
    outside,
    records_interruptions,
)
from debrief.picture.sheet import Sheet
from debrief.words import say

_THIN_PX = 1.6
"""A pause is drawn at least this wide, so that every break can be seen."""
_MANY_PAUSES = 400
_MANY_RUNS = 120


def lay_spine(sheet: Sheet, top: float) -> float:
    """Lay out the ribbon; return where its row of seconds ends. [px]"""
    spine = Ribbon(sheet, top)
    report = sheet.report
    start = first_compression(report)
    if start is None:
        text = say("picture.no_compressions")
        spans = [(one["start"], one["end"]) for one in report["episodes"]] or [(0.0, sheet.scale.end)]
        for number, (x0, x1) in enumerate(spans):
            spine.bar(f"unseen:{number}", "not_seen", text, x0, x1)
            spine.words(f"unseen:{number}", text, x0, x1)
    elif not records_interruptions(report):
        _starts_alone(spine, start)
    else:
        unnamed = _runs(spine)
        _unseen(spine, start)
        _pauses(spine)
        for name, x0, x1 in unnamed:
            if spine.words_beneath(name, (x0 + x1) / 2, "", say("picture.mechanical"), "soft"):
                break
        _tails(spine)
    if start is not None:
        _before_first(spine, start)
    lay_outcomes(spine)
    _swaps(spine)
    sheet.lane("spine", say("picture.lane.spine"), top, spine.bottom, "spine")
    return spine.bottom + SECONDS_PX + 4


def _starts_alone(spine: Ribbon, start: float) -> None:
    """Hatch the whole arrest: when hands came off was recorded by nobody."""
    hover = say("picture.starts_alone", time=clock(start))
    for number, episode in enumerate(spine.report["episodes"]):
        low = max(start, episode["start"])
        if low >= episode["end"]:
            continue
        name = f"unseen:{number}"
        spine.bar(name, "not_seen", hover, low, episode["end"])
        if not spine.words(name, hover, low, episode["end"]):
            spine.words(name, say("picture.starts_alone_short"), low, episode["end"])
    for one in spine.report["occurrences"]:
        if one["kind"] in {"compressions_start", "mechanical_start"}:
            hover = hover_words(spine.report, one, spine.sheet.written)
            path = ((one["time"], spine.top), (one["time"], spine.bottom))
            name = f"occurrence:{one['id']}"
            spine.sheet.items.append(Line(name, "start", "spine", hover, tuple(one["marks"]), (path,)))


def _runs(spine: Ribbon) -> list[tuple[str, float, float]]:
    """Fill the ribbon where hands were on; where there are many runs, in one piece under their pauses.

    Returns the mechanical runs where none had room for its words.
    """
    report = spine.report
    together = len(report["hands_on"]) > _MANY_RUNS
    paused = {pause["start"] for pause in report["pauses"]} if together else set()
    named = False
    runs: list[tuple[float, float, bool, int]] = []
    for span in report["hands_on"]:
        if runs and span["manual"] == runs[-1][2] and runs[-1][1] in paused:
            runs[-1] = (runs[-1][0], span["end"], span["manual"], runs[-1][3] + 1)
        else:
            runs.append((span["start"], span["end"], span["manual"], 0))
    for number, (x0, x1, manual, pauses) in enumerate(runs):
        key = "picture.hover.hands_on" if manual else "picture.hover.mechanical"
        hover = say(key, start=clock(x0), end=clock(x1), length=length(x1 - x0))
        if pauses:
            hover = f"{hover}\n{say('picture.hover.pauses', count=pauses)}"
        spine.bar(f"run:{number}", "hands_on" if manual else "mechanical", hover, x0, x1)
        if not manual and not named:
            named = spine.words(f"run:{number}", say("picture.mechanical"), x0, x1, "ink", 12.5)
    return (
        [] if named else [(f"run:{number}", run[0], run[1]) for number, run in enumerate(runs) if not run[2]]
    )


def _unseen(spine: Ribbon, start: float) -> None:
    number = 0
    for episode in spine.report["episodes"]:
        low = max(start, episode["start"])
        for x0, x1 in outside(spine.report["covered"], low, max(low, episode["end"])):
            if (x1 - x0) * spine.scale.px_per_s < 1:
                continue
            name = f"unseen:{number}"
            hover = say("picture.hover.not_seen", start=clock(x0), end=clock(x1), length=length(x1 - x0))
            spine.bar(name, "not_seen", hover, x0, x1)
            if not spine.words(name, say("picture.compressions_not_seen"), x0, x1):
                spine.words(name, say("picture.not_seen"), x0, x1)
            number += 1


def pause_hover(pause: Pause) -> str:
    """Return what hovering over a pause tells, parted by newlines."""
    lines = [
        say(
            "picture.hover.pause",
            length=length(pause["length"]),
            start=clock(pause["start"]),
            end=clock(pause["end"]),
        ),
        say("picture.hover.cause", cause=cause_words(pause["cause"])),
    ]
    if pause["also"]:
        lines.append(say("picture.hover.also", causes=", ".join(map(cause_words, pause["also"]))))
    return "\n".join(lines)


def _pauses(spine: Ribbon) -> None:
    pauses = list(enumerate(spine.report["pauses"]))
    per_s = spine.scale.px_per_s
    many = len(pauses) > _MANY_PAUSES
    hidden = 0
    for number, pause in pauses:
        if many and pause["length"] <= LONG_PAUSE_S and pause["length"] * per_s < 1:
            hidden += 1
            continue
        widen = max(0.0, _THIN_PX / per_s - pause["length"]) / 2
        role = "pause_long" if pause["length"] > LONG_PAUSE_S else "pause"
        x0, x1 = pause["start"] - widen, pause["end"] + widen
        spine.bar(f"pause:{number}", role, pause_hover(pause), x0, x1, pause["marks"])
    if hidden:
        name = "note:narrow_pauses"
        text = say("picture.too_narrow", count=hidden)
        spine.sheet.items.append(
            Mark(name, "mark_small", "spine", text, (), spine.scale.start, spine.bottom + 9)
        )
        spine.sheet.labels.append(
            Label(name, spine.scale.start, spine.bottom + 9, "", text, "soft", 12, dx=9)
        )
        wide = 12 + text_width(text, 12)
        spine.beneath.take(0, spine.scale.left, spine.scale.left + wide, None)
    long = [(number, pause) for number, pause in pauses if pause["length"] > LONG_PAUSE_S]
    for number, pause in sorted(long, key=lambda one: -one[1]["length"]):
        _bracket(spine, number, pause)


def _bracket(spine: Ribbon, number: int, pause: Pause) -> None:
    x0, x1 = pause["start"], pause["end"]
    per_s = spine.scale.px_per_s
    name = f"pause:{number}"
    lip = 6.0 if (x1 - x0) * per_s >= 24 else 0.0
    low = ((x0, spine.bottom - lip), (x0, spine.bottom), (x1, spine.bottom), (x1, spine.bottom - lip))
    high = ((x0, spine.top + lip), (x0, spine.top), (x1, spine.top), (x1, spine.top + lip))
    spine.line(f"{name}/bracket", "bracket", low, high)
    seconds = length(pause["length"])
    cause = cause_in_short(pause["cause"])
    room = (x1 - x0) * per_s - 8
    middle = (x0 + x1) / 2
    wedged = any(x0 - 1 <= shock["time"] <= x1 + 1 for shock in spine.report["shocks"])
    if wedged or room < label_width(seconds, "", 13):
        text = "" if pause["cause"] == "shock" else cause
        if not spine.words_beneath(name, middle, seconds, text) and spine.scale.shows(middle):
            spine.sheet.unplaced.append(name)
        return
    if not spine.scale.shows(middle):
        return
    fits = bool(cause) and room >= text_width(cause, 11.5)
    y = spine.middle - 7 if fits else spine.middle
    spine.sheet.labels.append(Label(name, middle, y, seconds, "", "warning", 13.5, "middle"))
    if fits:
        spine.sheet.labels.append(Label(name, middle, spine.middle + 9, "", cause, "warning", 11.5, "middle"))
    elif cause:
        spine.words_beneath(name, middle, "", cause)


def _tails(spine: Ribbon) -> None:
    """Outline what followed the last compression of an episode: shown, in no fraction and no pause."""
    for number, episode in enumerate(spine.report["episodes"]):
        inside = [one["end"] for one in spine.report["hands_on"] if one["start"] < episode["end"]]
        busy = [pause["end"] for pause in spine.report["pauses"] if pause["start"] < episode["end"]]
        if not inside:
            continue
        last = max(inside + busy)
        if episode["end"] - last < 1 or last <= episode["start"]:
            continue
        gap = episode["end"] - last
        hover = say("picture.hover.tail", length=length(gap), start=clock(last), end=clock(episode["end"]))
        spine.bar(f"tail:{number}", "tail", hover, last, episode["end"])
        edges = [((last, y), (episode["end"], y)) for y in (spine.top + 0.5, spine.bottom - 0.5)]
        spine.line(f"tail:{number}/lines", "tail_lines", *edges)


def _before_first(spine: Ribbon, start: float) -> None:
    """Frame the time from the start of the arrest to the first compression, with its seconds."""
    if not spine.report["episodes"]:
        return
    zero = spine.report["episodes"][0]["start"]
    if start - zero < 1:
        return
    seconds = length(start - zero)
    hover = say("picture.hover.before_first", length=seconds, start=clock(zero), end=clock(start))
    spine.bar("before_first", "before_first", hover, zero, start)
    corners = ((zero, spine.top), (start, spine.top), (start, spine.bottom), (zero, spine.bottom))
    spine.line("before_first/frame", "frame", (*corners, corners[0]))
    middle = (zero + start) / 2
    if (start - zero) * spine.scale.px_per_s >= label_width(seconds, "", 13) + 6 and spine.scale.shows(
        middle
    ):
        spine.sheet.labels.append(
            Label("before_first", middle, spine.middle, seconds, "", "warning", 13, "middle")
        )
    elif not spine.words_beneath("before_first", middle, seconds):
        spine.sheet.unplaced.append("before_first")


def _swaps(spine: Ribbon) -> None:
    """Notch the ribbon's lower edge at every change of compressor."""
    for one in spine.report["occurrences"]:
        if one["kind"] == "compressor_change":
            hover = f"{kind_words(one['kind'])}\n{say('picture.hover.at', time=clock(one['time']))}"
            mark = Mark(
                f"occurrence:{one['id']}",
                "swap",
                "spine",
                hover,
                tuple(one["marks"]),
                one["time"],
                spine.bottom - 4,
            )
            spine.sheet.items.append(mark)
