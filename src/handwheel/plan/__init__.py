"""From files to resolved operations and findings: the plan binds, it never computes."""
