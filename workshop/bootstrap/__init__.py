"""Brings a bare Python to the project's own .venv; standard library only."""
