"""What the rest is made of: marks and their gate, sources, spans on the long axis, problems, the contract."""
