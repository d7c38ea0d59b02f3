"""What opened and closed the episodes: ROSC, re-arrest, flow, the end of efforts."""

from collections.abc import Sequence

from debrief.model.contract import Episode, Occurrence, Report
from debrief.model.times import clock
from debrief.picture.captions import hover_words, kind_words
from debrief.picture.labels import Levels, label_width
from debrief.picture.plain import Anchor, Label, Mark, Wedge
from debrief.picture.ribbon import Ribbon
from debrief.words import say

_ROW_PX = 17.0


def lay_outcomes(spine: Ribbon) -> None:
    """Draw two thin lines where circulation was back, and the words of what ended or opened an episode."""
    report, scale = spine.report, spine.scale
    wedges = [item for item in spine.sheet.items if isinstance(item, Wedge)]
    rows = Levels(3 if wedges else 2, scale.left - 6, scale.edge + 34, gap=4)
    for wedge in wedges:
        x = scale.px(wedge.x)
        for row in range(rows.count):
            half = 3.0 + row
            rows.take(row, x - half, x + half, None)
    times = [one["time"] for one in report["occurrences"]]
    for number, episode in enumerate(report["episodes"]):
        if number:
            _outcome(spine, rows, f"episode:{number}/start", "rearrest", episode, episode["start"])
        closed = episode["closed_by"]
        if closed in {"rosc", "ecls_flow"}:
            opens = [other["start"] for other in report["episodes"] if other["start"] >= episode["end"]]
            end = min(opens, default=max([report["end"]["time"], episode["end"], *times]))
            hover = say(
                "picture.hover.circulation",
                what=kind_words(closed),
                start=clock(episode["end"]),
                end=clock(end),
            )
            spine.bar(f"circulation:{number}", "circulation", hover, episode["end"], end, inset=14)
            edges = [((episode["end"], y), (end, y)) for y in (spine.middle - 4, spine.middle + 4)]
            spine.line(f"circulation:{number}/lines", "two_lines", *edges)
        if closed in {"rosc", "ecls_flow", "efforts_ended"}:
            _outcome(spine, rows, f"episode:{number}/end", closed, episode, episode["end"])
        if closed == "efforts_ended":
            edge = ((episode["end"], spine.top - 4), (episode["end"], spine.bottom + 4))
            spine.line(f"episode:{number}/edge", "end", edge)


def bounds_an_episode(report: Report, occurrence: Occurrence) -> bool:
    """Return whether an occurrence is what opened or closed an episode, so that the spine shows it."""
    edges = [(one["closed_by"], one["end"]) for one in report["episodes"]]
    edges += [("rearrest", one["start"]) for one in report["episodes"][1:]]
    return any(kind == occurrence["kind"] and abs(time - occurrence["time"]) < 0.5 for kind, time in edges)


def _outcome(spine: Ribbon, rows: Levels, name: str, kind: str, episode: Episode, time: float) -> None:
    """Write ROSC, re-arrest or the end of efforts just above the ribbon, where no wedge stands."""
    what = kind_words(kind)
    texts = [(what, clock(time)), (what, "")]
    if kind == "rearrest" and episode["implied"]:
        texts[:0] = [(say("picture.implied", what=what), clock(time))]
    role = {"rearrest": "mark_rearrest", "efforts_ended": "mark_end"}.get(kind, "mark_outcome")
    first = texts[0][0]
    hover = f"{first[:1].upper()}{first[1:]}\n{say('picture.hover.at', time=clock(time))}"
    marks: tuple[str, ...] = ()
    told = (
        one for one in spine.report["occurrences"] if one["kind"] == kind and abs(one["time"] - time) < 0.5
    )
    marked = next(told, None)
    if marked is not None:
        name, marks = f"occurrence:{marked['id']}", tuple(marked["marks"])
        hover = hover_words(spine.report, marked, spine.sheet.written)
    tone = "warning" if kind == "rearrest" else "ink" if kind == "efforts_ended" else "hands_on"
    row, label = _words(spine, rows, name, texts, time, tone)
    if label is not None:
        spine.sheet.labels.append(label)
    elif not spine.words_beneath(name, time, what, "", tone) and spine.scale.shows(time):
        spine.sheet.unplaced.append(name)
    y = spine.top - 11 - row * _ROW_PX
    if marked is not None:
        spine.sheet.spread(marked, "spine", "spread", y + 1.5)
    spine.sheet.items.append(Mark(name, role, "spine", hover, marks, time, y))


def _words(
    spine: Ribbon, rows: Levels, name: str, texts: Sequence[tuple[str, str]], time: float, tone: str
) -> tuple[int, Label | None]:
    """Find room just above the ribbon, or a row or two higher; shorter words where the longer do not fit."""
    if not spine.scale.shows(time):
        return 0, None
    x = spine.scale.px(time)
    sides: tuple[Anchor, ...] = ("start", "end")
    for strong, text in texts:
        wide = label_width(strong, text, 13) + 9
        for row in range(rows.count):
            for anchor in sides:
                x0, x1 = (x - 5, x + wide) if anchor == "start" else (x - wide, x + 5)
                if rows.free(row, x0, x1, None):
                    rows.take(row, x0, x1, None)
                    y = spine.top - 11 - row * _ROW_PX
                    dx = 9.0 if anchor == "start" else -9.0
                    return row, Label(name, time, y, strong, text, tone, 13, anchor, dx)
    return 0, None
