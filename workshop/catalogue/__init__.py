"""Loading the catalogue and changing it on screen."""
