"""Clocks: which sources share a timeline, which marks are one occurrence, how far times may be off."""
