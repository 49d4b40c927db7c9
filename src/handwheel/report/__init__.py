"""The sheet of a job: the plan before and the as-built record after, on paper or on a screen.

`sheet.make_sheet` makes one `Document` out of plan and state; `ledger.Ledger` numbers every value on it and
lists where each comes from; `page`, `markdown` and `lines` write both as HTML, Markdown and text.
"""
