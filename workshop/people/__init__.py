"""People who sign in, their roles, and who may open what."""
