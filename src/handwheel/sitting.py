"""A person at a job: the plan, the state, and the record that is being saved.

Screen and line mode hold one `Sitting` and nothing else of the house. An answer goes in, an event comes
out of the pure run, the view of it is live at once (pending), and it is done when the disk has it.
"""
