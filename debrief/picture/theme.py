"""Colours, type and the style of each role. Painters look here; the layout names roles, no colour."""

from dataclasses import dataclass
from typing import Literal

ThemeName = Literal["light", "dim"]

THEMES: dict[ThemeName, dict[str, str]] = {
    "light": {
        "paper": "#FAF8F3",
        "card": "#FFFFFF",
        "ink": "#1D2530",
        "soft": "#59616E",
        "rule": "#DDD8CC",
        "hands_on": "#1F6F78",
        "hands_on_pale": "#CFE3E2",
        "warning": "#B4431A",
        "unclear": "#8A6400",
        "no_data": "#82827C",
        "hatch": "#C9C4B8",
        "drug": "#5B3E8C",
    },
    "dim": {
        "paper": "#14181D",
        "card": "#1B2027",
        "ink": "#ECE8DF",
        "soft": "#A6ACB5",
        "rule": "#343A42",
        "hands_on": "#58B4B5",
        "hands_on_pale": "#23474B",
        "warning": "#FF8A5C",
        "unclear": "#E5BC5A",
        "no_data": "#8D939B",
        "hatch": "#4A515A",
        "drug": "#B9A2E6",
    },
}
"""The tokens of both themes. Text tones reach 4.5:1 on paper and card, graphic tones 3:1, by test."""


def variable(token: str) -> str:
    """Return the name of the style variable that holds a colour on the pages."""
    return f"--{token.replace('_', '-')}"


PAGE = {token: f"var({variable(token)})" for token in THEMES["light"]}
"""Colours that follow the light of the page that a drawing stands in."""

TEXT_TONES = ("ink", "soft", "hands_on", "warning", "unclear", "drug")
GRAPHIC_TONES = (*TEXT_TONES, "no_data")

FONT = '"Atkinson Hyperlegible Next", "Atkinson Hyperlegible", Verdana, "DejaVu Sans", sans-serif'

Symbol = Literal["square", "dot", "ring", "nick", "point", "diamond"]
Dash = Literal["solid", "dash", "dot"]


@dataclass(frozen=True)
class Style:
    """How a role looks. Colours are token names; ``hatch`` is drawn over ``fill``; sizes in px."""

    fill: str | None = None
    line: str | None = None
    width: float = 1.0
    dash: Dash = "solid"
    hatch: str | None = None
    pattern: Literal["/", "|"] = "/"
    opacity: float = 1.0
    symbol: Symbol = "square"
    size: float = 8.0


STYLES: dict[str, Style] = {
    # bars
    "hands_on": Style(fill="hands_on"),
    "mechanical": Style(fill="hands_on_pale", hatch="hands_on", pattern="|", line="hands_on", width=1.5),
    "pause": Style(fill="paper"),
    "pause_long": Style(fill="paper"),
    "before_first": Style(fill="paper"),
    "tail": Style(fill="paper"),
    "not_seen": Style(fill="paper", hatch="hatch"),
    "circulation": Style(fill="paper"),
    "minute_cell": Style(fill="hands_on_pale"),
    "minute": Style(fill="hands_on"),
    "minute_low": Style(fill="warning"),
    "bounds": Style(fill="hands_on_pale"),
    "zone": Style(fill="hands_on_pale"),
    "spread": Style(fill="no_data", opacity=0.3),
    "spread_drug": Style(fill="drug", opacity=0.25),
    "spread_shock": Style(fill="ink", opacity=0.18),
    "rhythm": Style(fill="card", line="no_data", width=0.8),
    "rhythm_shockable": Style(fill="card", line="ink", width=1.4),
    "rhythm_pulse": Style(fill="hands_on_pale", line="hands_on"),
    # lines
    "zero": Style(line="soft", width=1),
    "zero_assumed": Style(line="unclear", width=1.3, dash="dash"),
    "hairline": Style(line="soft", width=0.8),
    "hairline_drug": Style(line="drug", width=0.9),
    "bracket": Style(line="warning", width=2.6),
    "frame": Style(line="warning", width=1.4, dash="dash"),
    "two_lines": Style(line="hands_on", width=1.5),
    "tail_lines": Style(line="soft", width=1, dash="dot"),
    "start": Style(line="hands_on", width=2.2),
    "end": Style(line="ink", width=2.2),
    "guide": Style(line="no_data", width=0.8, dash="dot"),
    "curve": Style(line="ink", width=1.6),
    "compressions": Style(line="paper", width=0.9),
    "depth_guide": Style(line="paper", width=0.7, dash="dot"),
    "breaths": Style(line="soft", width=0.8),
    "clock_row": Style(line="no_data", width=1),
    "pair_1": Style(line="hands_on", width=1.5),
    "pair_2": Style(line="drug", width=1.5, dash="dash"),
    "pair_3": Style(line="unclear", width=1.7, dash="dot"),
    # marks
    "mark": Style(fill="paper", line="ink", width=1.3, symbol="square", size=7),
    "mark_small": Style(fill="soft", symbol="dot", size=5),
    "mark_drug": Style(fill="drug", symbol="dot", size=9),
    "mark_drug_other": Style(fill="paper", line="drug", width=1.4, symbol="ring", size=8),
    "mark_outcome": Style(fill="hands_on", symbol="diamond", size=9),
    "mark_end": Style(fill="ink", symbol="diamond", size=9),
    "mark_rearrest": Style(fill="warning", symbol="diamond", size=9),
    "swap": Style(fill="paper", symbol="nick", size=8),
    "reading": Style(fill="ink", symbol="point", size=4.5),
    "residual": Style(fill="hands_on", line="paper", symbol="dot", size=9),
    "told": Style(fill="paper", line="ink", width=1.6, symbol="ring", size=10),
    "told_met": Style(fill="hands_on", line="paper", width=1.2, symbol="dot", size=12),
    "told_not_met": Style(fill="warning", line="paper", width=1.2, symbol="nick", size=13),
    "told_uncertain": Style(fill="unclear", line="paper", width=1.2, symbol="diamond", size=13),
    # charts of many events
    "chart_point": Style(fill="hands_on", line="paper", width=1.2, symbol="dot", size=11),
    "chart_signal": Style(fill="warning", line="paper", width=1.2, symbol="nick", size=15),
    "chart_path": Style(line="hands_on", width=1.6),
    "chart_centre": Style(line="ink", width=1.4),
    "chart_limit": Style(line="soft", width=1.3, dash="dash"),
    "chart_inner": Style(line="no_data", width=1, dash="dot"),
    "chart_target": Style(line="drug", width=1.5, dash="dot"),
    "chart_baseline": Style(fill="hands_on_pale", opacity=0.55),
    "chart_range": Style(fill="unclear", opacity=0.45),
    "chart_spread": Style(fill="no_data", opacity=0.35),
    "chart_gap": Style(fill="paper", hatch="hatch"),
    "chart_new": Style(line="ink", width=1.2, dash="dot"),
    # wedges
    "shock": Style(fill="ink", line="paper", width=1),
    "cardioversion": Style(fill="paper", line="ink", width=1.2),
}

WEDGE_HALF_WIDTH_PX = 6.0
