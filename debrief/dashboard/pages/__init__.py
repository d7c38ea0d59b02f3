"""The pages, one file each, in the order in which an address is tried."""

from debrief.dashboard.pages import event, start, understood

PAGES = (start, understood, event)
