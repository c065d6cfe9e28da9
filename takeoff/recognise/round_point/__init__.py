"""The room round a point: what is reached from it, the outlines that this gives, and the likeliest of them."""
