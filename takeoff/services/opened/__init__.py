"""What a user opens: a job, a drawing, a page, a picture; its layers, and the rooms proposed from it."""
