"""What the bench's facts cost and earn: quotes, acceptance, buy-in."""
