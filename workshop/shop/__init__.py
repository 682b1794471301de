"""The shop itself: head of the paper, currency, VAT rates, margins."""
