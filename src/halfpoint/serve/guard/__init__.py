"""What guards the API: who somebody is, how often they may ask, and how much they may send."""
