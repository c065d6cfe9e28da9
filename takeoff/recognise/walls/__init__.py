"""Which lines are walls, where their gaps close, and what they enclose."""
