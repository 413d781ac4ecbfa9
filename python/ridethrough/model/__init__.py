"""Vans, trips and all parts of them: their configuration classes, and what is known of parameters."""
