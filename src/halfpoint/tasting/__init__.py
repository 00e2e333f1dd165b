"""A tasting: its wines, sites and tasters, as the tasting file says them."""
