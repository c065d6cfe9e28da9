"""What has changed: a new drawing over a job, changes on site, and the variation on paper."""
