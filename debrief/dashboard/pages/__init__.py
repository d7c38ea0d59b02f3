"""The pages, one file each, in the order in which an address is tried."""

from debrief.dashboard.pages import clocks, event, events, guide, start, understood
from debrief.dashboard.router import Page

PAGES = tuple(
    Page(page.ADDRESS, page.layout, page.register)
    for page in (start, events, understood, clocks, event, guide)
)
