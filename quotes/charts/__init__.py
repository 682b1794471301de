"""Charts as inline SVG, drawn on the server: for screen, paper and screen reader alike."""
