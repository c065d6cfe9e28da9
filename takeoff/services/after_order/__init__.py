"""What comes after the order: states that were sent, deliveries, days on site, bills and their papers."""
