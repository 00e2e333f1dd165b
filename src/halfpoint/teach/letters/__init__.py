"""Letters after the reveal: to tasters who agreed, to hosts, and to the makers of wines."""
