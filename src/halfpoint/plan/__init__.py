"""Before the tasting: serving orders, blind codes, bottles and money, how many tasters."""
