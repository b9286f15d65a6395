"""Reporting: one result, many writers; a writer computes nothing."""
