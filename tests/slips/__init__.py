"""Tests of how slips are named."""
