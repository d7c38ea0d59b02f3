"""Cases on screen: those that are kept, one made of an event, and where they are replayed."""
