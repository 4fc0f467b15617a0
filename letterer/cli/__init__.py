"""The command line: one file a command, each of them thin."""
