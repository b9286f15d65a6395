"""Assigning channels and addresses so that nothing collides, and as much as can be stays as planned."""
