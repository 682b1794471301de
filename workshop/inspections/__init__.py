"""The ordered examination of a bike: checkpoints, readings, findings."""
