"""Reading: files become a plan, a readback and rules, each value with its source."""
