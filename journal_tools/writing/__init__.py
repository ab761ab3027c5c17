"""The writing side: entries made from a line of plain words or from a table.

One line: `sentence` cuts it into clauses, `clauses` and `happenings` understand each of them with
the names of `vocabulary` and the days of `moments_said`, `understood` holds and shows the result.

A table: `spreadsheet` reads cells, `columns` finds what they mean, `cells` reads values,
`rows_taken` makes facts of rows, `data_folder` makes facts of a site's own data, `remembered` keeps
what is known of a file, `importing` leaves out what the journal has already and makes entries of
the rest.

The phone form: `phone` reads what it hands over, `phone_command` files it.

All end in `yaml_text` and `entry_file`, which write. `add_command` and `import_command` talk to
the keeper; `trial` tells beforehand what a check would say.

Beside them, commands for a journal as it is: `mends` and `fixes` for `check --fix`, `bottles` and
`due_command` for what is due, `explain_command` for the keys.
"""
