"""What a measured job is offered for: price, days, holds, and treatments side by side."""
