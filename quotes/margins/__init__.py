"""What parts brought, as they were charged."""
