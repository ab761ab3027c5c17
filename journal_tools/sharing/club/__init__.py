"""Many journals as one site: what members hand in, a site for each, and what they are together.

In the order of the work: `admission` takes a stranger's folder or ZIP file apart with care,
`member` builds one member's site and gathers its `facts`, `together` does so for all in processes
of their own, `comparison` and `pages` make the club's own pages of the facts.
"""
