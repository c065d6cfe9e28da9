"""The drawings of the job in the window: opened, added, traced, and what each leaves open."""
