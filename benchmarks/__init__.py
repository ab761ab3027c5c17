"""How long a journal takes to build, next to plain MkDocs with the same text: a floor.

``python -m benchmarks`` in the folder of the repository; ``--help`` tells the options.
"""
