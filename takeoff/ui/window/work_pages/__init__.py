"""The pages of what comes after the order, each with what it shows and what its buttons do."""
