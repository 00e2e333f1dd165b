"""The charts, one a file, each drawn on the half-point ruler; `svg` turns them into pictures."""
