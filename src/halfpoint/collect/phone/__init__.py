"""What the app sends: from a filled sheet to an entry, or to all that keeps it from being one."""
