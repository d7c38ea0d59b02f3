"""What a layout is made of: plain frozen records, JSON-able, that two painters draw and nothing else knows.

``x`` is seconds from time zero, ``y`` is pixels from the top of the picture, ``dx`` pixels.
"""

from dataclasses import asdict, dataclass
from typing import Any, Literal

Anchor = Literal["start", "middle", "end"]
Point = tuple[float, float]


@dataclass(frozen=True)
class Item:
    """Something drawn. ``id`` says what it stands for: ``occurrence:...``, ``pause:3``, ``minute:7``.

    ``role`` names its style; ``hover`` is its words; ``marks`` name the marks behind it; ``lane`` is the id
    of the lane that holds it. Two items of one thing have ids that differ after a ``/``: ``pause:3/bracket``.
    """

    id: str
    role: str
    lane: str
    hover: str
    marks: tuple[str, ...]


@dataclass(frozen=True)
class Bar(Item):
    """A rectangle. [s, px]"""

    x0: float
    x1: float
    y0: float
    y1: float


@dataclass(frozen=True)
class Line(Item):
    """One or more open paths. [s, px]"""

    paths: tuple[tuple[Point, ...], ...]


@dataclass(frozen=True)
class Mark(Item):
    """A symbol at a point. [s, px]"""

    x: float
    y: float


@dataclass(frozen=True)
class Wedge(Item):
    """A wedge, broad at ``y0``, that ends in a point at ``y1``. [s, px]"""

    x: float
    y0: float
    y1: float


def reach(item: Bar | Line | Mark | Wedge) -> tuple[float, float]:
    """Return where an item begins and ends. [s]"""
    if isinstance(item, Bar):
        return item.x0, item.x1
    if isinstance(item, Line):
        times = [x for path in item.paths for x, _ in path]
        return min(times, default=0.0), max(times, default=0.0)
    return item.x, item.x


@dataclass(frozen=True)
class Label:
    """Words of an item: ``strong`` in bold, then ``text``. ``tone`` names a colour, ``size`` is px."""

    id: str
    x: float
    y: float
    strong: str
    text: str
    tone: str = "ink"
    size: float = 12.5
    anchor: Anchor = "start"
    dx: float = 0.0


@dataclass(frozen=True)
class Lane:
    """A lane: its title, where it lies, and whether it holds what was done or what was seen. [px]"""

    id: str
    title: str
    y0: float
    y1: float
    group: Literal["done", "spine", "seen"]
    title_y: float


@dataclass(frozen=True)
class Tick:
    """A tick of the time axis: ``text`` is minutes and seconds, ``wall`` the clock time where it is known."""

    x: float
    text: str
    wall: str


@dataclass(frozen=True)
class Picture:
    """A timeline laid out. ``view`` is the stretch shown, ``extent`` all there is. [s, px]

    Every label is in ``labels`` or, where there was no room, its item's id in ``unplaced``.
    """

    width: int
    height: float
    left: float
    right: float
    axis_y: float
    view: tuple[float, float]
    extent: tuple[float, float]
    lanes: tuple[Lane, ...]
    ticks: tuple[Tick, ...]
    minor: tuple[float, ...]
    items: tuple[Bar | Line | Mark | Wedge, ...]
    labels: tuple[Label, ...]
    unplaced: tuple[str, ...]
    caption: str
    description: str

    @property
    def px_per_s(self) -> float:
        """Pixels that a second takes."""
        return (self.width - self.left - self.right) / (self.view[1] - self.view[0])

    def item(self, item_id: str) -> Bar | Line | Mark | Wedge | None:
        """Return the item of that id, or None."""
        return next((item for item in self.items if item.id == item_id), None)

    def to_dict(self) -> dict[str, Any]:
        """Return the picture as JSON-able data; each item says its ``form``."""
        data = asdict(self)
        for item, row in zip(self.items, data["items"], strict=True):
            row["form"] = type(item).__name__.lower()
        return data
