"""The run of a job, pure: what is live, what an answer does, what the events add up to."""
