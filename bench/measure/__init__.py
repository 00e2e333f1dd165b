"""What every bench needs: what it ran on, a run from outside, a peer, figures kept as JSON."""
