"""What everything else is made of: marks and their gate, sources, spans on the long axis, problems, the contract."""
