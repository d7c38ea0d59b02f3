"""The strip of minutes under the ribbon."""

from debrief.model.times import clock
from debrief.picture.captions import length
from debrief.picture.labels import Levels, label_width
from debrief.picture.plain import Bar, Label
from debrief.picture.ribbon import joined, records_interruptions
from debrief.picture.sheet import Sheet
from debrief.words import say

CELL_PX = 11.0
_LOW = 0.8
_MANY = 90
_SEEN = 0.8
"""A minute covered less than this is hatched behind its column."""


def lay_minutes(sheet: Sheet, y: float) -> float:
    """Lay out the strip of minutes: columns as high as hands were on, the percentage beneath. [px]"""
    minutes = sheet.report["by_minute"]
    if not minutes or not records_interruptions(sheet.report):
        return y
    scale = sheet.scale
    levels = Levels(1, scale.left - 10, scale.edge + 14, gap=3)
    many = len(minutes) > _MANY
    if many:
        seen = [(one["start"], one["end"]) for one in minutes if one["fraction"] is not None]
        for start, end in joined(seen):
            name = f"minutes:{start:.0f}"
            sheet.items.append(Bar(name, "minute_cell", "minutes", "", (), start, end, y, y + CELL_PX))
    for number in sorted(range(len(minutes)), key=lambda at: (not _is_low(minutes[at]["fraction"]), at)):
        _minute(sheet, levels, number, y, many)
    bottom = y + CELL_PX + 18
    sheet.lane("minutes", say("picture.lane.minutes"), y, bottom, "spine", title_y=bottom - 8)
    return bottom


def _is_low(fraction: float | None) -> bool:
    return fraction is not None and fraction < _LOW


def _minute(sheet: Sheet, levels: Levels, number: int, y: float, many: bool) -> None:
    """Draw one minute: a pale cell (where there are many, one cell for all), its column, its percentage."""
    minute = sheet.report["by_minute"][number]
    gap = min(1.0 / sheet.scale.px_per_s, 6.0)
    x0, x1 = minute["start"], max(minute["start"], minute["end"] - gap)
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
    cell = "minute_cell" if minute["coverage"] >= _SEEN else "not_seen"
    if not many or fraction < 0.5 or cell == "not_seen":
        sheet.items.append(Bar(f"{name}/cell", cell, "minutes", hover, (), x0, x1, y, y + CELL_PX))
    top = y + CELL_PX * (1 - fraction)
    role = "minute_low" if low else "minute"
    sheet.items.append(Bar(name, role, "minutes", hover, (), x0, x1, top, y + CELL_PX))
    middle = (x0 + x1) / 2
    strong, text = (percent, "") if low else ("", percent)
    px, half = sheet.scale.px(middle), label_width(strong, text, 12) / 2
    if sheet.scale.shows(middle) and levels.free(0, px - half, px + half, None):
        levels.take(0, px - half, px + half, None)
        tone = "warning" if low else "soft"
        sheet.labels.append(Label(name, middle, y + CELL_PX + 10, strong, text, tone, 12, "middle"))
    elif sheet.scale.shows(middle):
        sheet.unplaced.append(name)
