"""What was written: how much ink lies where, and which marks it makes."""
