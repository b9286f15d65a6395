"""Pairing: files as read become a site, planned and found values side by side."""
