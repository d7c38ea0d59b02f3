"""The talk of a team about an event: what to talk about, and what is kept of it."""
