"""Ways to hand a journal on: a forum post, a packed site, one file for mail, a club of journals.

`commands` registers what the command line offers. A post is made by `selection` (which entries),
`blocks` (notes and facts as a few kinds of block), `markups` (blocks as BBCode, Markdown or HTML),
`parts` (texts under a length limit) and `pictures`; a packed site by `offline` and `archive`.
"""
