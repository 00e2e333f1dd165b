"""The record: append-only, hash-chained, nothing lost."""
