"""What has become of a site over its baselines."""
