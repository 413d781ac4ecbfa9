"""Prices, masses and conversions."""
