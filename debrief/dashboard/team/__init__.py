"""The parts of the team's page: what to talk about, the talk itself, its actions, where the seconds went."""
