"""During a tasting: the ways in for what tasters wrote."""
