"""What a job measures: quantities and order as values and as JSON, what is coated, what its lots say."""
