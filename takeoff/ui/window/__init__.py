"""The main window: puts the panels round the plan, opens and saves, goes where a finding points."""
