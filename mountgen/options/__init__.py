"""Every family of mount for one survey: the best of each by several goals, and what the others lack."""
