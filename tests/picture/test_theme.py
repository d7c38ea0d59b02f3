"""Contrast by the formula of WCAG 2.2 (relative luminance, contrast ratio), and styles that all are there."""

import pytest

from debrief.picture.theme import GRAPHIC_TONES, STYLES, TEXT_TONES, THEMES


def luminance(colour):
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one, other):
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_ratios_of_the_standard():
    """WCAG 2.2: white on black is 21:1; #767676 on white is the lightest grey that reaches 4.5:1."""
    assert contrast("#FFFFFF", "#000000") == pytest.approx(21)
    assert contrast("#767676", "#FFFFFF") >= 4.5 > contrast("#777777", "#FFFFFF")


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("ground", ["paper", "card"])
@pytest.mark.parametrize("tone", TEXT_TONES)
def test_words_reach_4_5_to_1(theme, ground, tone):
    colours = THEMES[theme]
    assert contrast(colours[tone], colours[ground]) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("ground", ["paper", "card"])
@pytest.mark.parametrize("tone", GRAPHIC_TONES)
def test_what_carries_meaning_reaches_3_to_1(theme, ground, tone):
    colours = THEMES[theme]
    assert contrast(colours[tone], colours[ground]) >= 3


@pytest.mark.parametrize("theme", THEMES)
def test_words_on_pale_bars_reach_4_5_to_1(theme):
    colours = THEMES[theme]
    assert contrast(colours["ink"], colours["hands_on_pale"]) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
def test_every_style_names_tokens_that_are_there(theme):
    tokens = {token for style in STYLES.values() for token in (style.fill, style.line, style.hatch) if token}
    assert tokens <= set(THEMES[theme])
