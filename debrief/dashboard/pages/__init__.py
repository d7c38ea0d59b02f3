"""The pages, one file each, in the order in which an address is tried."""

from debrief.dashboard.pages import (
    agreement,
    case,
    cases,
    checks,
    clocks,
    event,
    events,
    guide,
    sheet,
    start,
    team,
    trends,
    typing,
    understood,
)
from debrief.dashboard.router import Page

PAGES = tuple(
    Page(page.ADDRESS, page.layout, page.register)
    for page in (
        start,
        typing,
        events,
        trends,
        checks,
        understood,
        clocks,
        team,
        sheet,
        agreement,
        cases,
        case,
        event,
        guide,
    )
)
