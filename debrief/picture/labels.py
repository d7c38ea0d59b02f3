"""Where labels go: text widths from the type's own advances, and greedy placing on levels."""

from dataclasses import dataclass, field

_WIDE = {
    " ": 280,
    "\u00a0": 280,
    "\u202f": 140,
    ".": 230,
    ",": 230,
    ":": 230,
    ";": 230,
    "'": 180,
    "/": 400,
    "-": 365,
}
_WIDE |= dict.fromkeys("0123456789", 630) | {
    "(": 310,
    ")": 310,
    "%": 930,
    "+": 606,
    "\u2013": 504,
    "·": 260,
    "±": 590,
}
_WIDE |= dict(
    zip("ABCDEFGHIJKLM", (626, 613, 645, 669, 569, 552, 694, 694, 392, 512, 631, 541, 824), strict=True)
)
_WIDE |= dict(
    zip("NOPQRSTUVWXYZ", (693, 714, 592, 724, 614, 592, 558, 690, 593, 856, 623, 575, 607), strict=True)
)
_WIDE |= dict(
    zip("abcdefghijklm", (525, 566, 485, 564, 538, 314, 558, 550, 252, 245, 492, 262, 845), strict=True)
)
_WIDE |= dict(
    zip("nopqrstuvwxyz", (550, 548, 566, 574, 349, 471, 326, 540, 461, 684, 481, 449, 460), strict=True)
)
_BOLD = 1.06
_UNKNOWN = 640
_TOUCHING_PX = 5.0


def text_width(text: str, size: float, bold: bool = False) -> float:
    """Return about how wide a text is, in the shipped type. [px]"""
    width = sum(_WIDE.get(letter, _UNKNOWN) for letter in text) * size / 1000
    return width * _BOLD if bold else width


def label_width(strong: str, text: str, size: float) -> float:
    """Return about how wide a label is: its bold words, a space, its plain words. [px]"""
    gap = " " if strong and text else ""
    return text_width(strong + gap, size, bold=True) + text_width(text, size)


def _same(x: float, stem: float | None) -> bool:
    """Whether a hairline runs so close to another that it only touches its symbol, never its words. [px]"""
    return stem is not None and abs(x - stem) < _TOUCHING_PX


@dataclass
class Levels:
    """Rows of taken stretches. A label at a row must not meet another there, nor be crossed by a hairline.

    Hairlines hang from a symbol downwards, through every row below it. All in px.
    """

    count: int
    left: float
    right: float
    gap: float = 7.0
    taken: list[list[tuple[float, float, float]]] = field(default_factory=list)
    hairlines: list[tuple[float, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.taken = [[] for _ in range(self.count + 1)]

    def free(self, row: int, x0: float, x1: float, stem: float | None) -> bool:
        """Return whether [x0, x1] is free in a row; ``stem`` is where its hairline hangs, if it has one."""
        if x0 < self.left or x1 > self.right:
            return False
        if any(x0 < b + self.gap and a < x1 + self.gap for a, b, _ in self.taken[row]):
            return False
        if any(above < row and x0 - 3 < x < x1 + 3 and not _same(x, stem) for x, above in self.hairlines):
            return False
        if stem is None:
            return True
        below = (span for taken in self.taken[row + 1 :] for span in taken)
        return not any(a - 3 < stem < b + 3 and not _same(at, stem) for a, b, at in below)

    def take(self, row: int, x0: float, x1: float, stem: float | None) -> None:
        """Mark [x0, x1] of a row as taken."""
        self.taken[row].append((x0, x1, x0 if stem is None else stem))
        if stem is not None:
            self.hairlines.append((stem, row))

    def close(self) -> None:
        """Keep to the rows in use so far: what comes now must not open more than one below them."""
        self.count = min(self.count, self.used)

    def symbol_row(self, x0: float, x1: float, stem: float | None) -> int:
        """Return a free row for a symbol whose words found no room; else one more row, kept for those."""
        rows = range(self.count)
        return next((row for row in rows if self.free(row, x0, x1, stem)), self.count)

    @property
    def used(self) -> int:
        """How many rows hold something."""
        return max((row + 1 for row, spans in enumerate(self.taken) if spans), default=0)
