"""Is the site fit: what was read and looked at against limits, and what is a hold until a person clears it."""
