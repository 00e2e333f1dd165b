"""Finding the page in a picture, and laying it flat."""
