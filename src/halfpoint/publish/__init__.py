"""What goes out: charts, the report, JSON and CSV."""
