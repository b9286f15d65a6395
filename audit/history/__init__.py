"""How a site has changed over its baselines."""
