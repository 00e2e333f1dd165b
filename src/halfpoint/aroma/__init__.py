"""After: what the wines were like, from terms and faults ticked, finish and remarks."""
