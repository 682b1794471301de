"""What comparables say a bike should bring: kept, imported, picked for a bike, shown."""
