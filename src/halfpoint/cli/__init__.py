"""The command line: one module per command, each reading as a table of contents."""
