"""Teaching: a copy of an event with nobody in it, and what has to be known before it is handed on."""
