"""Words on a drawing: names of rooms, printed areas, remarks, marks."""
