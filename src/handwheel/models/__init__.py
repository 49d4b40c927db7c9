"""The shapes of the files: job, shop, recipe and record, checked by pydantic."""
