"""Cells with handwriting in them, to train the reader of digits on."""
