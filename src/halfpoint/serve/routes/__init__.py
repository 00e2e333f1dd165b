"""The routes of the API, one file a group; each has a `router`."""
