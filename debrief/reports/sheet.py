"""The sheet: an event on one page of paper, A4 or Letter, whatever was recorded of it."""

import math
from dataclasses import dataclass

from debrief.model.contract import Report
from debrief.picture.layout import lay_out
from debrief.picture.plain import Picture
from debrief.picture.svg import paint_for_paper
from debrief.picture.theme import THEMES
from debrief.reports.contents import contents
from debrief.reports.spoken import Spoken
from debrief.reports.typeset import Form, typeset
from debrief.words import language, say


@dataclass(frozen=True)
class Paper:
    """A size of paper, upright. [mm]"""

    width: float
    height: float

    @property
    def inner(self) -> tuple[float, float]:
        """What lies between the margins, across and down. [mm]"""
        return self.width - 2 * MARGIN_MM, self.height - 2 * MARGIN_MM


PAPERS = {"a4": Paper(210.0, 297.0), "letter": Paper(215.9, 279.4)}
MARGIN_MM = 12.0
NOTHING_SPOKEN = Spoken()

_LEAST_PX, _MOST_PX = 830, 1130
"""How wide the timeline is laid out; wider makes it lower on the page, and its words smaller."""
_MOST_TIMELINE, _MOST_SOURCES = 0.38, 0.06
"""The most that timeline and sources take of the height."""


def sheet(
    report: Report,
    paper: str = "a4",
    *,
    spoken: Spoken = NOTHING_SPOKEN,
    confidentiality: str = "",
    invented: bool = False,
    form: Form = "pdf",
) -> bytes:
    """Return an event on one page.

    Parameters
    ----------
    report
        The event.
    paper
        ``a4`` or ``letter``.
    spoken
        What to talk about, and what was said and agreed so far.
    confidentiality
        What the site wants said of who may read it.
    invented
        Whether nothing of it happened; the sheet then says so.
    form
        ``pdf``, whose text can be selected and read aloud, or ``png`` for the screen.

    Returns
    -------
    bytes
        One page; the same bytes for the same input.
    """
    size = PAPERS[paper]
    across, down = size.inner
    picture, tall = _timeline(report, across, _MOST_TIMELINE * down)
    page = {
        "width": size.width,
        "height": size.height,
        "margin": MARGIN_MM,
        "timeline": tall,
        "sources": _MOST_SOURCES * down,
    }
    said = contents(report, spoken, confidentiality) | {
        "page": page,
        "description": picture.description,
        "colours": THEMES["light"],
        "language": language().code,
        "invented": say("pages.invented") if invented else "",
    }
    return typeset(said, paint_for_paper(picture), form)


def _timeline(report: Report, across: float, most: float) -> tuple[Picture, float]:
    """Return the timeline, and how tall it stands on the page. [mm]"""
    picture = lay_out(report, width=_LEAST_PX)
    wanted = min(math.ceil(picture.height * across / most), _MOST_PX)
    if wanted > _LEAST_PX:
        picture = lay_out(report, width=wanted)
    return picture, min(picture.height * across / picture.width, most)
