"""Where a bike comes from: checked before it is bought, and how long it is kept."""
