"""Entering: a person reads devices and types what they show; every value is saved as it is typed."""
