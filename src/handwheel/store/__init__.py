"""Reading and durable saving of files: what the screen shows as done is on the disk."""
