"""Assigning channels and addresses so that nothing collides, and as much as possible stays as planned."""
