"""The days: activities with their waiting times on the crew's calendar, what one person can close, water to dry out."""
