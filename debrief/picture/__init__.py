"""From the contract to what is drawn: one layout as plain data, two painters, and figures as sentences."""
