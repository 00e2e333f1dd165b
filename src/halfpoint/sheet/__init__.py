"""The score sheet as data: what a taster may write, and what a valid entry is."""
