"""What is handed on: an event on one page of paper."""
