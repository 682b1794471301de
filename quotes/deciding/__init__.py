"""The buy-in decision: what a bike may cost, how surely it earns its target, what to offer."""
