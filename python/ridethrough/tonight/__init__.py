"""What meters show during a trip, and what it says of the rest of it."""
