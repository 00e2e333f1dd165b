"""The way in by paper: score sheets printed, and read back."""
