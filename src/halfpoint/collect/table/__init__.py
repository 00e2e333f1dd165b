"""Tables in: CSV, spreadsheet and Parquet, read into rows that are entries or held."""
