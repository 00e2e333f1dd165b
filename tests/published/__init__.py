"""Outside checks: open data sets whose results are known from elsewhere, one module each."""
