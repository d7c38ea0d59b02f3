"""HTML of parts: everything is escaped, names are those of HTML."""

from dash import html
from hypothesis import given
from hypothesis import strategies as st
from markupsafe import Markup

from debrief.dashboard.markup import tag, to_html


def test_elements_become_html():
    part = html.Div(
        [
            html.Label("a", htmlFor="b"),
            html.P(className="c"),
            html.B(**{"data-from": "1"}),
            None,
            html.I(style={"flexGrow": "0.5"}),
        ],
        hidden=True,
    )

    assert to_html(part) == (
        '<div hidden><label for="b">a</label><p class="c"></p><b data-from="1"></b>'
        '<i style="flex-grow:0.5"></i></div>'
    )


def test_an_element_without_content_is_not_closed():
    assert to_html(tag("input", type="text", data_answer="time")) == '<input type="text" data-answer="time">'


def test_only_markup_goes_through_as_it_is():
    assert to_html(["<b>", Markup("<i>")]) == "&lt;b&gt;<i>"


@given(st.text())
def test_no_text_opens_an_element_or_leaves_its_attribute(text):
    made = to_html(html.P(text, title=text))
    inside = made.removeprefix('<p title="').removesuffix("</p>")

    assert made.count("<") == 2
    assert inside.count('"') == 1
