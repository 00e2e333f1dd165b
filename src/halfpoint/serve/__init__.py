"""The HTTP API, and what guards it."""
