"""Paint a layout as SVG of our own, for paper and the teaching file. Text stays text; items say their id."""

from collections.abc import Mapping
from html import escape
from typing import Literal

from debrief.picture.plain import Bar, Label, Lane, Line, Mark, Picture, Wedge
from debrief.picture.theme import FONT, PAGE, STYLES, THEMES, WEDGE_HALF_WIDTH_PX, Style, ThemeName
from debrief.words import say

_DASHES = {"solid": "", "dash": "5 3", "dot": "1.5 3"}


def paint(
    picture: Picture,
    theme: ThemeName | Literal["page"] = "light",
    *,
    title: str | None = None,
    name: str = "",
    over: bool = False,
    links: Mapping[str, str] | None = None,
) -> str:
    """Paint a picture as one SVG element.

    Parameters
    ----------
    picture
        What ``lay_out`` gave.
    theme
        ``light`` (paper), ``dim``, or ``page``: as the page that it stands in.
    title
        What the drawing is called for those who cannot see it; its description otherwise.
    name
        Sets it apart from other drawings on the same page.
    over
        Items and words alone, without ground, axis and lanes, to lie over another drawing of the same size.
    links
        Where items lead, by their ids; they can then be reached by keyboard, and are called what they say.

    Returns
    -------
    str
        ``<svg ...>...</svg>``, without an XML heading, ready to stand in HTML or in a file of its own.
    """
    return _Painter(picture, theme, name, links or {}).paint(title, over)


def paint_for_paper(picture: Picture) -> str:
    """Paint a picture in light colours on white."""
    return paint(picture).replace(THEMES["light"]["paper"], "#FFFFFF")


def _n(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


class _Painter:
    """The picture, its colours, and a name of its own for patterns."""

    def __init__(
        self, picture: Picture, theme: ThemeName | Literal["page"], name: str, links: Mapping[str, str]
    ) -> None:
        self.picture, self.links = picture, links
        self.colours = PAGE if theme == "page" else THEMES[theme]
        self.key = f"{theme}{name}"
        self.figures = "" if theme == "page" else ' style="font-variant-numeric: tabular-nums"'

    def px(self, seconds: float) -> float:
        return self.picture.left + (seconds - self.picture.view[0]) * self.picture.px_per_s

    def paint(self, title: str | None, over: bool) -> str:
        picture = self.picture
        size = f'width="{picture.width}" height="{_n(picture.height)}"'
        box = f'viewBox="0 0 {picture.width} {_n(picture.height)}"'
        called = escape(title or picture.description)
        role = "group" if self.links else "img"  # what is an image has nothing inside that can be reached
        parts = [
            f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box} role="{role}" aria-label="{called}" '
            f"font-family='{FONT}' font-size=\"12.5\"{self.figures}>",
            f"<title>{called}</title><desc>{escape(picture.description)}</desc>",
            self._definitions(),
            *([] if over else self._ground()),
            f'<g clip-path="url(#plot-{self.key})">',
            *(self._linked(item) for item in picture.items),
            "</g>",
            *(self._label(label) for label in picture.labels),
            *([] if over else self._lanes()),
            "</svg>",
        ]
        return "\n".join(parts)

    def _ground(self) -> list[str]:
        return [f'<rect width="100%" height="100%" fill="{self.colours["paper"]}"/>', *self._axis()]

    def _lanes(self) -> list[str]:
        return [*(self._lane(lane) for lane in self.picture.lanes), *self._groups()]

    def _definitions(self) -> str:
        picture = self.picture
        wide = picture.width - picture.left - picture.right
        clip = (
            f'<clipPath id="plot-{self.key}"><rect x="{_n(picture.left - 8)}" y="0" '
            f'width="{_n(wide + 16)}" height="{_n(picture.height)}"/></clipPath>'
        )
        patterns = []
        for role, style in STYLES.items():
            if not style.hatch:
                continue
            turn = ' patternTransform="rotate(45)"' if style.pattern == "/" else ""
            step, stroke = (7, 1.3) if style.pattern == "/" else (6, 1.5)
            fill = self.colours[style.fill or "paper"]
            patterns.append(
                f'<pattern id="{role}-{self.key}" width="{step}" height="{step}" '
                f'patternUnits="userSpaceOnUse"{turn}><rect width="{step}" height="{step}" fill="{fill}"/>'
                f'<rect width="{stroke}" height="{step}" fill="{self.colours[style.hatch]}"/></pattern>'
            )
        return f"<defs>{clip}{''.join(patterns)}</defs>"

    def _stroke(self, style: Style) -> str:
        if style.line is None:
            return ""
        dash = f' stroke-dasharray="{_DASHES[style.dash]}"' if style.dash != "solid" else ""
        return f' stroke="{self.colours[style.line]}" stroke-width="{_n(style.width)}"{dash}'

    def _fill(self, role: str, style: Style) -> str:
        if style.hatch:
            return f'fill="url(#{role}-{self.key})"'
        return f'fill="{self.colours[style.fill]}"' if style.fill else 'fill="none"'

    def _linked(self, item: Bar | Line | Mark | Wedge) -> str:
        drawn, address = self._item(item), self.links.get(item.id)
        if address is None:
            return drawn
        return f'<a href="{escape(address)}" aria-label="{escape(item.hover)}">{drawn}</a>'

    def _item(self, item: Bar | Line | Mark | Wedge) -> str:
        style = STYLES[item.role]
        hover = f"<title>{escape(item.hover)}</title>" if item.hover else ""
        looks = f'data-id="{escape(item.id)}"'
        if isinstance(item, Line):
            looks += f' fill="none"{self._stroke(style)}'
            return f'<path d="{self._path(item)}" {looks}>{hover}</path>'
        looks += f" {self._fill(item.role, style)}{self._stroke(style)}"
        if style.opacity < 1:
            looks += f' opacity="{_n(style.opacity)}"'
        if isinstance(item, Bar):
            x0, x1 = self.px(item.x0), self.px(item.x1)
            place = f'x="{_n(x0)}" y="{_n(item.y0)}" width="{_n(max(x1 - x0, 0))}"'
            return f'<rect {place} height="{_n(item.y1 - item.y0)}" {looks}>{hover}</rect>'
        x = self.px(item.x)
        if isinstance(item, Wedge):
            half = WEDGE_HALF_WIDTH_PX
            shape = f"M{_n(x - half)} {_n(item.y0)}L{_n(x + half)} {_n(item.y0)}L{_n(x)} {_n(item.y1)}Z"
            return f'<path d="{shape}" {looks}>{hover}</path>'
        return self._symbol(style, x, item.y, looks, hover)

    def _path(self, line: Line) -> str:
        return "".join(
            "M" + "L".join(f"{_n(self.px(x))} {_n(y)}" for x, y in path) for path in line.paths if path
        )

    def _symbol(self, style: Style, x: float, y: float, looks: str, hover: str) -> str:
        half = style.size / 2
        if style.symbol == "square":
            place = (
                f'x="{_n(x - half)}" y="{_n(y - half)}" width="{_n(style.size)}" height="{_n(style.size)}"'
            )
            return f"<rect {place} {looks}>{hover}</rect>"
        if style.symbol == "diamond":
            part, back = _n(half), _n(-half)
            shape = f"M{_n(x)} {_n(y - half)}l{part} {part}l{back} {part}l{back} {back}Z"
            return f'<path d="{shape}" {looks}>{hover}</path>'
        if style.symbol == "nick":
            shape = f"M{_n(x - half)} {_n(y + half)}h{_n(style.size)}L{_n(x)} {_n(y - half)}Z"
            return f'<path d="{shape}" {looks}>{hover}</path>'
        return f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(half)}" {looks}>{hover}</circle>'

    def _text(
        self, x: float, y: float, inner: str, tone: str, size: float, anchor: str, more: str = ""
    ) -> str:
        return (
            f'<text x="{_n(x)}" y="{_n(y + size * 0.35)}" font-size="{_n(size)}" text-anchor="{anchor}" '
            f'fill="{self.colours[tone]}"{more}>{inner}</text>'
        )

    def _label(self, label: Label) -> str:
        strong = f'<tspan font-weight="700">{escape(label.strong)}</tspan>' if label.strong else ""
        inner = strong + (" " if strong and label.text else "") + escape(label.text)
        x = self.px(label.x) + label.dx
        more = f' data-id="{escape(label.id)}" data-label=""'
        return self._text(x, label.y, inner, label.tone, label.size, label.anchor, more)

    def _lane(self, lane: Lane) -> str:
        x = self.picture.left - 14
        more = f' data-lane="{escape(lane.id)}"'
        return self._text(x, lane.title_y, escape(lane.title), "soft", 12.5, "end", more)

    def _groups(self) -> list[str]:
        """Write "done" and "seen" along the left edge, beside a thin rule."""
        drawn = []
        for group in ("done", "seen"):
            lanes = [lane for lane in self.picture.lanes if lane.group == group]
            if not lanes:
                continue
            y0, y1 = lanes[0].y0, lanes[-1].y1
            middle = (y0 + y1) / 2
            drawn.append(
                f'<path d="M16 {_n(y0)}V{_n(y1)}" stroke="{self.colours["rule"]}" stroke-width="1.5"/>'
            )
            turned = f' font-weight="600" transform="rotate(-90 8 {_n(middle)})"'
            drawn.append(
                self._text(8, middle, escape(say(f"picture.lane.{group}")), "soft", 12, "middle", turned)
            )
        return drawn

    def _axis(self) -> list[str]:
        picture, rule = self.picture, self.colours["rule"]
        y = picture.axis_y
        left, edge = picture.left, picture.width - picture.right
        shown = [tick for tick in picture.ticks if picture.view[0] <= tick.x <= picture.view[1]]
        minor = [at for at in picture.minor if picture.view[0] <= at <= picture.view[1]]
        grid = "".join(f"M{_n(self.px(at))} 6V{_n(y)}" for at in [tick.x for tick in shown] + minor)
        notches = "".join(f"M{_n(self.px(tick.x))} {_n(y)}v5" for tick in shown)
        drawn = [
            f'<path d="{grid}" stroke="{rule}" stroke-width="0.8" fill="none"/>',
            f'<path d="M{_n(left)} {_n(y)}H{_n(edge)}{notches}" stroke="{self.colours["ink"]}" fill="none"/>',
        ]
        for tick in shown:
            drawn.append(self._text(self.px(tick.x), y + 14, escape(tick.text), "ink", 12.5, "middle"))
            if tick.wall:
                drawn.append(self._text(self.px(tick.x), y + 29, escape(tick.wall), "soft", 11, "middle"))
        below = y + (48 if picture.ticks and picture.ticks[0].wall else 34)
        middle = (left + edge) / 2
        drawn.append(self._text(middle, below, escape(picture.caption), "soft", 12, "middle"))
        return drawn
