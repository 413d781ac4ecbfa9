"""Scenario files."""
