"""The spine: the ribbon of hands-on time, every break in it, and the strip of minutes beneath."""

from collections.abc import Sequence

from debrief.model.contract import Episode, Pause, Report
from debrief.model.times import clock
from debrief.picture.captions import cause_words, kind_words, length
from debrief.picture.labels import Levels, label_width, text_width
from debrief.picture.plain import Bar, Label, Line, Mark
from debrief.picture.sheet import Sheet
from debrief.words import CAUSES, say

RIBBON_PX = 44.0
SECONDS_PX = 18.0
CELL_PX = 11.0
LONG_PAUSE_S = 10.0
_THIN_PX = 1.6
"""A pause is drawn at least this wide, so that every break can be seen."""
_MANY_PAUSES = 450
_LOW = 0.8

Span = tuple[float, float]


def outside(spans: Sequence[Sequence[float]], start: float, end: float) -> list[Span]:
    """Return the stretches of [start, end] that none of the spans covers. [s]"""
    left, at = [], start
    for low, high in sorted((span[0], span[1]) for span in spans):
        if low > at:
            left.append((at, min(low, end)))
        at = max(at, high)
        if at >= end:
            break
    if at < end:
        left.append((at, end))
    return [(low, high) for low, high in left if high > low]


def first_compression(report: Report) -> float | None:
    """Return when hands first were on the chest, by what was measured or else by what was marked. [s]"""
    starts = [span["start"] for span in report["hands_on"]]
    kinds = {"compressions_start", "mechanical_start", "compression"}
    starts += [one["time"] for one in report["occurrences"] if one["kind"] in kinds]
    return min(starts, default=None)


def records_interruptions(report: Report) -> bool:
    """Return whether any source could have seen hands come off."""
    return bool(report["covered"])


class _Spine:
    """The ribbon at one place on the sheet."""

    def __init__(self, sheet: Sheet, top: float) -> None:
        self.sheet, self.scale, self.report = sheet, sheet.scale, sheet.report
        self.top, self.bottom, self.middle = top, top + RIBBON_PX, top + RIBBON_PX / 2
        self.beneath = Levels(1, self.scale.left - 8, self.scale.edge + 14, gap=4)

    def bar(
        self,
        name: str,
        role: str,
        hover: str,
        x0: float,
        x1: float,
        marks: Sequence[str] = (),
        inset: float = 0,
    ) -> None:
        self.sheet.items.append(
            Bar(name, role, "spine", hover, tuple(marks), x0, x1, self.top + inset, self.bottom - inset)
        )

    def line(self, name: str, role: str, *paths: tuple[Span, ...]) -> None:
        self.sheet.items.append(Line(name, role, "spine", "", (), paths))

    def words(
        self, name: str, text: str, x0: float, x1: float, tone: str = "soft", size: float = 12.0
    ) -> bool:
        """Write words in the middle of what is in view of a stretch, where there is room."""
        low, high = max(x0, self.scale.start), min(x1, self.scale.end)
        if (high - low) * self.scale.px_per_s < text_width(text, size) + 10:
            return False
        self.sheet.labels.append(Label(name, (low + high) / 2, self.middle, "", text, tone, size, "middle"))
        return True

    def seconds_beneath(self, name: str, x: float, strong: str, text: str = "") -> bool:
        """Write a pause's seconds under the ribbon, with its cause where there is room."""
        if not self.scale.shows(x):
            return False
        px = self.scale.px(x)
        for more in (text, "") if text else ("",):
            half = label_width(strong, more, 12.5) / 2
            if self.beneath.free(0, px - half, px + half, None):
                self.beneath.take(0, px - half, px + half, None)
                y = self.bottom + SECONDS_PX / 2 + 2
                self.sheet.labels.append(Label(name, x, y, strong, more, "warning", 12.5, "middle"))
                return True
        return False


def lay_spine(sheet: Sheet, top: float) -> float:
    """Lay out the ribbon; return where its row of seconds ends. [px]"""
    spine = _Spine(sheet, top)
    report = sheet.report
    start = first_compression(report)
    if start is None:
        for number, episode in enumerate(report["episodes"]):
            text = say("picture.no_compressions")
            spine.bar(f"unseen:{number}", "not_seen", text, episode["start"], episode["end"])
            spine.words(f"unseen:{number}", text, episode["start"], episode["end"])
    elif not records_interruptions(report):
        _starts_alone(spine, start)
    else:
        _runs(spine)
        _unseen(spine, start)
        _pauses(spine)
        _tails(spine)
    if start is not None:
        _before_first(spine, start)
    _after(spine)
    _swaps(spine)
    sheet.lane("spine", say("picture.lane.spine"), top, spine.bottom, "spine")
    return spine.bottom + SECONDS_PX + 4


def _starts_alone(spine: _Spine, start: float) -> None:
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
    spine.line("first_compression", "end", ((start, spine.top), (start, spine.bottom)))


def _runs(spine: _Spine) -> None:
    named = False
    finest = 0.4 / spine.scale.px_per_s if len(spine.report["hands_on"]) > _MANY_PAUSES else 0.0
    runs: list[list[float | bool]] = []
    for span in spine.report["hands_on"]:
        if runs and span["manual"] == runs[-1][2] and span["start"] - runs[-1][1] <= finest:
            runs[-1][1] = max(runs[-1][1], span["end"])
        else:
            runs.append([span["start"], span["end"], span["manual"]])
    for number, (x0, x1, manual) in enumerate(runs):
        key = "picture.hover.hands_on" if manual else "picture.hover.mechanical"
        hover = say(key, start=clock(x0), end=clock(x1), length=length(x1 - x0))
        spine.bar(f"run:{number}", "hands_on" if manual else "mechanical", hover, x0, x1)
        if not manual and not named:
            named = spine.words(f"run:{number}", say("picture.mechanical"), x0, x1, "ink", 12.5)


def _unseen(spine: _Spine, start: float) -> None:
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


def _pauses(spine: _Spine) -> None:
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


def _bracket(spine: _Spine, number: int, pause: Pause) -> None:
    x0, x1 = pause["start"], pause["end"]
    per_s = spine.scale.px_per_s
    name = f"pause:{number}"
    lip = 6.0 if (x1 - x0) * per_s >= 24 else 0.0
    low = ((x0, spine.bottom - lip), (x0, spine.bottom), (x1, spine.bottom), (x1, spine.bottom - lip))
    high = ((x0, spine.top + lip), (x0, spine.top), (x1, spine.top), (x1, spine.top + lip))
    spine.line(f"{name}/bracket", "bracket", low, high)
    seconds = length(pause["length"])
    cause = CAUSES[pause["cause"]].short if pause["cause"] in CAUSES else ""
    room = (x1 - x0) * per_s - 8
    middle = (x0 + x1) / 2
    wedged = any(x0 - 1 <= shock["time"] <= x1 + 1 for shock in spine.report["shocks"])
    if wedged or room < label_width(seconds, "", 13):
        text = "" if pause["cause"] == "shock" else cause
        if not spine.seconds_beneath(name, middle, seconds, text) and spine.scale.shows(middle):
            spine.sheet.unplaced.append(name)
        return
    if not spine.scale.shows(middle):
        return
    fits = bool(cause) and room >= text_width(cause, 11.5)
    y = spine.middle - 7 if fits else spine.middle
    spine.sheet.labels.append(Label(name, middle, y, seconds, "", "warning", 13.5, "middle"))
    if fits:
        spine.sheet.labels.append(Label(name, middle, spine.middle + 9, "", cause, "warning", 11.5, "middle"))
    elif cause and spine.seconds_beneath(name, middle, "", cause):
        return


def _tails(spine: _Spine) -> None:
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


def _before_first(spine: _Spine, start: float) -> None:
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
    elif not spine.seconds_beneath("before_first", middle, seconds):
        spine.sheet.unplaced.append("before_first")


def _after(spine: _Spine) -> None:
    """Draw two thin lines where circulation was back, and the words of what ended or opened an episode."""
    report, scale = spine.report, spine.scale
    rows = Levels(3, scale.left - 6, scale.edge + 16, gap=5)
    for shock in report["shocks"]:
        x = scale.px(shock["time"])
        for row in range(3):
            rows.take(row, x - 7, x + 7, None)
    for number, episode in enumerate(report["episodes"]):
        if number:
            _outcome(spine, rows, f"episode:{number}/start", "rearrest", episode, episode["start"])
        closed = episode["closed_by"]
        if closed in {"rosc", "ecls_flow"}:
            opens = [other["start"] for other in report["episodes"] if other["start"] >= episode["end"]]
            end = min(opens, default=max(report["end"]["time"], episode["end"]))
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


def _outcome(spine: _Spine, rows: Levels, name: str, kind: str, episode: Episode, time: float) -> None:
    """Write ROSC, re-arrest or the end of efforts just above the ribbon, where no wedge stands."""
    what = kind_words(kind)
    if kind == "rearrest" and episode["implied"]:
        what = say("picture.implied", what=what)
    role = "mark_rearrest" if kind == "rearrest" else "mark_outcome"
    hover = f"{what[:1].upper()}{what[1:]}\n{say('picture.hover.at', time=clock(time))}"
    y = spine.top - 11
    x = spine.scale.px(time)
    wide = label_width(what, clock(time), 13) + 9
    placed = False
    for row in range(3):
        for anchor, x0, x1 in (("start", x - 5, x + wide), ("end", x - wide, x + 5)):
            if not placed and spine.scale.shows(time) and rows.free(row, x0, x1, None):
                rows.take(row, x0, x1, None)
                y = spine.top - 11 - row * 17
                tone = "warning" if kind == "rearrest" else "ink" if kind == "efforts_ended" else "hands_on"
                dx = 9 if anchor == "start" else -9
                label = Label(name, time, y, what, clock(time), tone, 13, "start" if dx > 0 else "end", dx)
                spine.sheet.labels.append(label)
                placed = True
    if not placed and spine.scale.shows(time):
        spine.sheet.unplaced.append(name)
    spine.sheet.items.append(Mark(name, role, "spine", hover, (), time, y))


def _swaps(spine: _Spine) -> None:
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
                spine.bottom,
            )
            spine.sheet.items.append(mark)


def lay_minutes(sheet: Sheet, y: float) -> float:
    """Lay out the strip of minutes: columns as high as hands were on, the percentage beneath. [px]"""
    minutes = sheet.report["by_minute"]
    if not minutes or not records_interruptions(sheet.report):
        return y
    scale = sheet.scale
    levels = Levels(1, scale.left - 10, scale.edge + 14, gap=3)
    gap = min(1.0 / scale.px_per_s, 6.0)
    low_first = sorted(enumerate(minutes), key=lambda one: (not _is_low(one[1]["fraction"]), one[0]))
    for number, minute in low_first:
        _minute(sheet, levels, number, minute["start"], minute["end"] - gap, y)
    bottom = y + CELL_PX + 18
    sheet.lane("minutes", say("picture.lane.minutes"), y, bottom, "spine", title_y=bottom - 8)
    return bottom


def _is_low(fraction: float | None) -> bool:
    return fraction is not None and fraction < _LOW


def _minute(sheet: Sheet, levels: Levels, number: int, x0: float, x1: float, y: float) -> None:
    minute = sheet.report["by_minute"][number]
    fraction = minute["fraction"]
    name = f"minute:{number}"
    start, end = clock(minute["start"]), clock(minute["end"])
    if fraction is None:
        hover = say("picture.hover.minute_none", number=number + 1, start=start, end=end)
        sheet.items.append(Bar(name, "not_seen", "minutes", hover, (), x0, x1, y, y + CELL_PX))
        return
    percent = f"{fraction * 100:.0f}"
    lines = [say("picture.hover.minute", number=number + 1, start=start, end=end, percent=f"{percent} %")]
    if minute["delivered"] is not None:
        lines.append(say("picture.hover.delivered", count=minute["delivered"]))
    if minute["longest_pause"]:
        lines.append(say("picture.hover.longest_pause", length=length(minute["longest_pause"])))
    if minute["coverage"] < 0.995:
        lines.append(say("picture.hover.coverage", percent=f"{minute['coverage'] * 100:.0f} %"))
    hover = "\n".join(lines)
    low = _is_low(fraction)
    sheet.items.append(Bar(name, "minute_cell", "minutes", hover, (), x0, x1, y, y + CELL_PX))
    top = y + CELL_PX * (1 - fraction)
    role = "minute_low" if low else "minute"
    sheet.items.append(Bar(f"{name}/part", role, "minutes", hover, (), x0, x1, top, y + CELL_PX))
    middle = (x0 + x1) / 2
    strong, text = (percent, "") if low else ("", percent)
    px, half = sheet.scale.px(middle), label_width(strong, text, 12) / 2
    if sheet.scale.shows(middle) and levels.free(0, px - half, px + half, None):
        levels.take(0, px - half, px + half, None)
        tone = "warning" if low else "soft"
        sheet.labels.append(Label(name, middle, y + CELL_PX + 10, strong, text, tone, 12, "middle"))
    elif sheet.scale.shows(middle):
        sheet.unplaced.append(name)
