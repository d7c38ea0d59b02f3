"""The guide's pages: one for what there is, one a page of help, one a figure; all of them lead somewhere."""

import re

import pytest
from markupsafe import escape

from debrief import guide
from debrief.dashboard import shell
from debrief.dashboard.markup import to_html
from debrief.dashboard.pages import PAGES
from debrief.dashboard.reports import Reports
from debrief.dashboard.router import page_at
from debrief.dashboard.shelf import Shelf
from debrief.words import say


@pytest.fixture(scope="module")
def page(tmp_path_factory):
    """Return the page at an address, as HTML."""
    reports = Reports(Shelf(tmp_path_factory.mktemp("home")))
    return lambda path: to_html(page_at(PAGES, path, "", reports))


def test_every_link_of_the_contents_leads_to_its_page(page):
    contents = page("/guide")
    addresses = re.findall(r'href="(/guide/[^"]+)"', contents)
    assert addresses == [shell.guide_address(name) for name in (*guide.PAGES, *guide.figures())]
    for address in addresses:
        assert say("pages.no_page") not in page(address)
        assert say("pages.cannot_title") not in page(address)


@pytest.mark.parametrize("name", guide.figures())
def test_the_page_of_a_figure_says_how_it_is_computed_and_who_asks(page, name):
    text = page(shell.guide_address(name))
    entry = guide.figure_entry(name)
    for said in (entry.title, entry.formula, *(asked.line for asked in entry.asked)):
        assert escape(said) in text
    assert text.count("<li>") == len(entry.asked) + len(entry.variants) + len(entry.missing)
    assert say("pages.caution") in text


def test_what_the_guide_does_not_know_is_said(page):
    assert "longest_pause" in page("/guide/longest_paus")
    assert say("pages.cannot_title") in page("/guide/longest_paus")


def test_every_page_leads_to_the_guide(page):
    assert 'href="/guide"' in page("/")
