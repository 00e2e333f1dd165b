"""Score sheets read back: a picture of a page becomes marks, or a question for a person."""
