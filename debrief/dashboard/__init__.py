"""The pages: an application over a shelf of events, served on this computer."""

from debrief.dashboard.app import create_app, serve

__all__ = ["create_app", "serve"]
