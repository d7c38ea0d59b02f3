"""The page of trends: what its address asks for, what is made of that, how it is shown, its files."""

from debrief.dashboard.across.routes import register

__all__ = ["register"]
