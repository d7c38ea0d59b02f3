"""Across events: cohorts, shares with intervals, charts that tell signal from noise. Plain data.

`cohort` makes a row of each report and says which are left out and why; `trends` puts rows into points of a
chart; the charts, a file a family, know numbers alone.
"""
