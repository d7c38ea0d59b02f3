"""Events that are kept, with everything that people say of them, and never lost.

`store.Registry` is one; `adding` brings events in and measures them, `listing` lists them and their figures,
`tables_out` and `writing` give all of it to other programs. `tables` says what is kept where.
"""
