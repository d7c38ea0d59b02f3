"""Reconstruct what happened in a resuscitation, so that people can learn from it."""

__version__ = "0.1.0"
