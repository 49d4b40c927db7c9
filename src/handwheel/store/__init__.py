"""Reading and durable saving of files."""
