"""Commands of the command line that come in groups, a file a group."""
