"""After: how good the panel is, and each taster in it."""
