"""After a tasting: what the marks say about the wines, from arrays and frames alone."""
