"""An event typed from a paper sheet: its draft, what is understood of it, and the event that it becomes."""
